"""Does each line of a derivation follow from those before? SymPy's answer.

Every line is read as an equation. What is already known is a table from a name (or a function of one variable) to an
expression in names that stay free. A line follows

- as a rewriting, if both sides become the same once all that is known is put in;
- as a solution, if its right side, put in for its left, satisfies an earlier relation that nothing had solved yet; a
  differential equation counts as solved only where the initial value of an earlier line is met as well;
- as a rearrangement, if it holds wherever an earlier unsolved relation holds.

Sameness is first tried at random points with 50 digits, which refutes fast; then by algebra. Where algebra finds no
zero and the numbers agree, the 50 digits count, and the evidence says so.
"""

from __future__ import annotations

import ast
import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import sympy
from sympy.core.function import AppliedUndef
from sympy.parsing.sympy_parser import parse_expr

from railwright.handbook import DerivationLine, Formula, look_up

DIGITS = 50
SAME = sympy.Float(10) ** -25
FUNCTIONS = {
    name: getattr(sympy, name)
    for name in ("sin", "cos", "tan", "asin", "acos", "atan", "log", "exp", "sqrt", "Abs", "Integral", "Derivative",
                 "Sum", "pi", "oo")
}  # fmt: skip
#: Algebra is tried on expressions up to this many operations; beyond that the 50 digits must do.
PATIENCE = 120
POINTS = 3


class Unproved(AssertionError):
    """A line that doesn't follow."""


@dataclass
class Derivation:
    """What is known on the way from the first line to the last."""

    formula: Formula
    random: random.Random
    known: dict[Any, Any] = field(default_factory=dict)  # symbol or function -> expression or Lambda
    relations: list[Any] = field(default_factory=list)  # unsolved, each zero where it holds
    evidence: list[str] = field(default_factory=list)
    functions: dict[str, Any] = field(default_factory=dict)

    def read(self, text: str) -> Any:
        called = called_in(text)
        names = {
            name: self.functions.setdefault(name, sympy.Function(name))
            if name in called
            else sympy.Symbol(name, positive=True)
            for name in names_of(text)
            if name not in FUNCTIONS
        }
        return parse_expr(text, local_dict={**FUNCTIONS, **names}, evaluate=True)

    def put_in(self, expression: Any) -> Any:
        """Everything known, put in, until nothing changes."""
        for _ in range(40):
            before = expression
            for name, value in self.known.items():
                if isinstance(value, sympy.Lambda):
                    expression = expression.replace(name, value)
            expression = expression.xreplace(
                {name: value for name, value in self.known.items() if not isinstance(value, sympy.Lambda)}
            )
            if expression == before:
                return expression
        raise Unproved(f"what is known runs in a circle: {expression}")

    def point(self) -> dict[Any, Any]:
        """Random numbers for the formula's quantities, near its example and inside its domain."""
        for _ in range(200):
            values = {}
            for symbol in self.formula.quantities:
                middle = self.formula.example.values.get(symbol.name, 1.0) or 0.3
                value = middle * self.random.uniform(0.75, 1.3)
                values[symbol.name] = min(value, 0.999) if symbol.domain == "fraction" else value
            try:
                self.formula.value(**values)
            except ValueError:
                continue
            return {sympy.Symbol(name, positive=True): sympy.Float(value, DIGITS) for name, value in values.items()}
        raise Unproved("no random point lies in the domain")

    def numbers(self, *expressions: Any, fixed: Mapping[Any, Any] | None = None) -> list[Any]:
        """The expressions' values at one random point."""
        point = {**self.point(), **(fixed or {})}
        for expression in expressions:
            for name in sorted(expression.free_symbols, key=str):
                if name not in point:
                    point[name] = sympy.Float(self.random.uniform(0.15, 1.3), DIGITS)
        return [sympy.N(expression.subs(point), DIGITS) for expression in expressions]

    def is_zero(self, expression: Any) -> str:
        """ "algebra", "digits" or "" for not zero."""
        if expression.has(sympy.Sum, sympy.Integral) and not expression.atoms(AppliedUndef):
            expression = worked_out(expression)
        if expression == 0:
            return "algebra"
        numeric = not expression.atoms(AppliedUndef) and not expression.has(sympy.Derivative)
        if numeric:
            terms = expression.args if isinstance(expression, sympy.Add) else (expression,)
            for _ in range(POINTS):
                values = self.numbers(expression, *terms)
                if not values[0].is_number or values[0].has(sympy.nan, sympy.zoo):
                    return ""
                size = max((abs(value) for value in values[1:]), default=sympy.Integer(1))
                if abs(values[0]) > SAME * max(size, sympy.Float("1e-30")):
                    return ""
        if sympy.count_ops(expression) <= PATIENCE and not expression.has(sympy.Sum):
            tried = worked_out(expression)
            for simpler in (sympy.expand, sympy.cancel, sympy.simplify):
                try:
                    tried = simpler(tried)
                except (ValueError, NotImplementedError, sympy.PolynomialError):
                    continue
                if tried == 0:
                    return "algebra"
        return "digits" if numeric else ""

    def define(self, name: Any, value: Any) -> None:
        if isinstance(name, AppliedUndef):
            self.known[name.func] = sympy.Lambda(name.args[0], self.put_in(value).doit())
        else:
            self.known[name] = value

    # ---------------------------------------------------------------------------------------------------------

    def take(self, line: DerivationLine) -> None:
        left, right = (self.read(side) for side in line.equation)
        {"given": self.given, "equal": self.equal, "order": self.order, "approximation": self.approximation}[line.step](
            line, left, right
        )

    def given(self, line: DerivationLine, left: Any, right: Any) -> None:
        if not line.law:
            raise Unproved("a given line must name its law")
        if line.cites:
            self.cited(line, left, right)
        nameable = left.is_Symbol or (isinstance(left, AppliedUndef) and left.args[0].is_Symbol)
        # A function that an earlier relation speaks of isn't defined by its value at one point.
        spoken_of = isinstance(left, AppliedUndef) and any(r.has(left.func) for r in self.relations)
        if nameable and not spoken_of and not right.has(left) and self.key(left) not in self.known:
            # A quantity of the formula may be tied to others: it then stands for the expression on the right.
            self.define(left, right)
        else:
            self.relations.append(left - right)
        self.evidence.append("given")

    def cited(self, line: DerivationLine, left: Any, right: Any) -> None:
        """The other formula must say the same, under its own names or these."""
        other = look_up(line.cites)
        inner = Derivation(formula=other, random=self.random)
        for _ in range(POINTS):
            point = inner.point()
            wanted = other.value(
                **{str(name): float(v) for name, v in point.items() if not self.optional(other, str(name))}
            )
            said = sympy.N(self.read(line.equation[1]).subs(point), 30)
            if not said.is_number or abs(float(said) / wanted - 1.0) > 1e-9:
                raise Unproved(f"{line.cites} says otherwise: {wanted} against {said}")

    @staticmethod
    def optional(formula: Formula, name: str) -> bool:
        return any(symbol.optional for symbol in formula.quantities if symbol.name == name)

    @staticmethod
    def key(name: Any) -> Any:
        return name.func if isinstance(name, AppliedUndef) else name

    def equal(self, line: DerivationLine, left: Any, right: Any) -> None:
        how = self.is_zero(self.put_in(left - right))
        if how:
            self.evidence.append(how)
            return
        nameable = left.is_Symbol or (isinstance(left, AppliedUndef) and left.args[0].is_Symbol)
        if nameable and self.key(left) not in self.known:
            solved = self.solved(left, right)
            if solved:
                self.define(left, right)
                self.evidence.append(solved)
                return
        how = self.rearranged(left - right)
        if not how:
            raise Unproved(f"{line.equation[0]} = {line.equation[1]} doesn't follow")
        self.relations.append(left - right)
        self.evidence.append(how)

    def solved(self, name: Any, value: Any) -> str:
        """How `name = value` satisfies what was still unsolved; "" where it doesn't."""
        value = self.put_in(value)
        found = ""
        left_over = []
        for relation in self.relations:
            stated = self.put_in(relation)
            if isinstance(name, AppliedUndef):
                if not stated.has(name.func):
                    left_over.append(relation)
                    continue
                done = stated.replace(name.func, sympy.Lambda(name.args[0], value)).doit()
            else:
                if not stated.has(name):
                    left_over.append(relation)
                    continue
                done = stated.xreplace({name: value})
            how = self.is_zero(done)
            if not how:
                if isinstance(name, AppliedUndef):
                    return ""
                left_over.append(relation)
                continue
            found = "digits" if "digits" in (how, found) else "algebra"
        if isinstance(name, AppliedUndef):
            touched = [r for r in self.relations if self.put_in(r).has(name.func)]
            if any(r.has(sympy.Derivative) for r in touched) and not any(not r.has(sympy.Derivative) for r in touched):
                return ""  # a differential equation alone doesn't fix the function
        if found:
            self.relations = left_over
        return found

    def rearranged(self, residual: Any, depth: int = 3) -> str:
        """Whether it is zero wherever the unsolved relations are: each in turn is solved for one name."""
        residual = self.put_in(residual)
        if residual.has(sympy.Integral) and not residual.atoms(AppliedUndef):
            residual = worked_out(residual)
        stated = [worked_out(self.put_in(relation)) for relation in reversed(self.relations)]
        for relation in stated:
            if relation != 0:
                how = self.is_zero(residual - relation) or self.is_zero(residual + relation)
                if how:
                    return how
        return self.eliminated(residual, stated)

    def eliminated(self, residual: Any, stated: list[Any]) -> str:
        for number, relation in enumerate(stated):
            shared = residual.free_symbols & relation.free_symbols
            if relation == 0 or not shared:
                continue
            others = stated[:number] + stated[number + 1 :]
            for name in sorted(shared, key=lambda each: (sympy.count_ops(sympy.diff(relation, each)), str(each))):
                try:
                    roots = sympy.solve(relation, name)
                except NotImplementedError:
                    continue
                if len(roots) != 1:
                    continue
                less = residual.xreplace({name: roots[0]})
                how = self.is_zero(less) or self.eliminated(less, [o.xreplace({name: roots[0]}) for o in others])
                if how:
                    return how
                break
        return ""

    def order(self, line: DerivationLine, left: Any, right: Any) -> None:
        exact, simpler = self.in_the_small(line, left, right)
        small = sympy.Symbol("small", positive=True)
        rest = sympy.series(exact - simpler, small, 0, line.order + 1).removeO()
        if not self.is_zero(sympy.expand(rest)):
            raise Unproved(f"{line.equation} differs already at order {line.order} or below: {rest}")
        further = sympy.series(exact - simpler, small, 0, line.order + 4).removeO()
        if self.is_zero(sympy.expand(further)):
            raise Unproved("the line is better than the order that it states")
        self.measure(line, exact, simpler)
        self.redefine(left, right)
        self.evidence.append("order")

    def approximation(self, line: DerivationLine, left: Any, right: Any) -> None:
        if not line.law:
            raise Unproved("an approximation must have a name")
        if line.small:
            exact, simpler = self.in_the_small(line, left, right)
        else:
            exact, simpler = self.put_in(left), self.put_in(right)
            if exact == left:
                raise Unproved(f"nothing is known of {left} before the approximation")
        self.measure(line, exact, simpler)
        self.redefine(left, right)
        self.evidence.append("approximation")

    def in_the_small(self, line: DerivationLine, left: Any, right: Any) -> tuple[Any, Any]:
        """Both sides with `through` expressed by the small quantity."""
        small = sympy.Symbol("small", positive=True)
        through = sympy.Symbol(line.through, positive=True)
        roots = sympy.solve(self.put_in(self.read(line.small)) - small, through)
        exact, simpler = self.put_in(left), self.put_in(right)
        if exact == left:
            raise Unproved(f"nothing is known of {left} before")
        if not roots:
            raise Unproved(f"{line.small} can't be solved for {line.through}")
        return exact.subs(through, roots[-1]).doit(), simpler.subs(through, roots[-1]).doit()

    def measure(self, line: DerivationLine, exact: Any, simpler: Any) -> None:
        """The stated error must hold over the whole stretch, and be reached within a factor of three."""
        small = sympy.Symbol("small", positive=True)
        worst = 0.0
        steps = 8 if line.small else 1
        for step in range(1, steps + 1):
            at = line.start + (line.reach - line.start) * step / steps
            fixed = {small: sympy.Float(at, DIGITS)} if line.small else {}
            for _ in range(2):
                true, said = self.numbers(exact, simpler, fixed=fixed)
                if not (true.is_real and said.is_real) or true == 0:
                    raise Unproved(f"no number at {at}: {true}, {said}")
                worst = max(worst, abs(float(said / true) - 1.0))
        if worst > line.error * (1 + 1e-9):
            raise Unproved(f"the error reaches {worst:.4g}, stated is {line.error:g}")
        if line.error > 3.0 * worst + 1e-12:
            raise Unproved(f"the stated error {line.error:g} is far above the {worst:.4g} found")

    def redefine(self, left: Any, right: Any) -> None:
        self.known.pop(self.key(left), None)
        self.define(left, right)

    def close(self, last: DerivationLine) -> None:
        """The last line is the formula's own statement, and agrees with its function."""
        formula = self.formula
        if last.step == "given":
            raise Unproved("the last line must follow, not be given")
        result = sympy.Symbol(formula.result.name, positive=True)
        left, right = (self.read(side) for side in last.equation)
        quantities = {sympy.Symbol(symbol.name, positive=True) for symbol in formula.quantities}
        for _ in range(POINTS):
            point = self.point()
            wanted = formula.value(**{str(n): float(v) for n, v in point.items()})
            residual = left - right
            if not residual.free_symbols <= quantities | {result}:
                raise Unproved(f"the last line has other quantities: {residual.free_symbols - quantities}")
            if left == result:
                said = float(sympy.N(right.subs(point), 20))
                apart = abs(said - wanted) / max(abs(wanted), 1e-12 * scale(point))
            else:
                apart = abs(float(sympy.N(residual.subs({**point, result: wanted}), 20)))
                apart /= abs(float(sympy.N(right.subs({**point, result: wanted}), 20))) or 1.0
            if apart > 1e-8:
                raise Unproved(f"the function gives {wanted}, the last line is {apart:.3g} off")


@cache
def worked_out(expression: Any) -> Any:
    """Integrals, sums and derivatives done. Integrals term by term, which is much faster."""

    def integral(*arguments: Any) -> Any:
        integrand, *limits = arguments
        if integrand.atoms(AppliedUndef):
            return sympy.Integral(*arguments).doit()
        return sympy.integrate(sympy.expand(integrand.doit()), *limits)

    return expression.replace(sympy.Integral, integral).doit()


def scale(point: Mapping[Any, Any]) -> float:
    return max((abs(float(value)) for value in point.values()), default=1.0)


def names_of(text: str) -> set[str]:
    return set(compile(text, "equation", "eval").co_names)


def called_in(text: str) -> set[str]:
    return {
        node.func.id
        for node in ast.walk(ast.parse(text, mode="eval"))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }


def verify(formula: Formula, lines: tuple[DerivationLine, ...] | None = None, seed: int = 1) -> list[str]:
    """Check a derivation line by line; the evidence for each. Raises Unproved with the line that fails."""
    lines = formula.derivation if lines is None else lines
    derivation = Derivation(formula=formula, random=random.Random(seed))
    try:
        derivation.close(lines[-1])
    except Unproved as reason:
        raise Unproved(f"{formula.id}, last line: {reason}") from None
    for number, line in enumerate(lines, start=1):
        try:
            derivation.take(line)
        except Unproved as reason:
            raise Unproved(f"{formula.id}, line {number}, {' = '.join(line.equation)}: {reason}") from None
    return derivation.evidence
