"""The token of a start, in the address and in the cookie."""

from __future__ import annotations

from railwright.web.session import Session, new_session


def test_each_start_has_a_token_of_its_own_with_256_bits() -> None:
    """OWASP's session management notes ask for at least 128 bits (from memory); 32 bytes are 43 letters of base64."""
    tokens = {new_session(8437).token for _ in range(20)}
    assert len(tokens) == 20
    assert all(len(token) == 43 for token in tokens)


def test_the_cookie_is_kept_from_scripts_and_from_other_sites(session: Session) -> None:
    assert session.set_cookie() == "railwright_8437=the-token-of-this-test; Path=/; HttpOnly; SameSite=Strict"


def test_the_cookie_or_the_bearer_admits_and_nothing_else_does(session: Session) -> None:
    assert session.admits(["railwright_8437=the-token-of-this-test"], "")
    assert session.admits(["a=b; railwright_8437=the-token-of-this-test; c=d"], "")
    assert session.admits([], "Bearer the-token-of-this-test")
    for cookies, authorization in (
        ([], ""), (["railwright_8437=wrong"], ""), (["railwright_8438=the-token-of-this-test"], ""),
        ([], "Bearer wrong"), ([], "Basic the-token-of-this-test"), ([], "Bearer"), (['";;=\\'], ""),
        (["railwright_8437="], "Bearer \udcff"),
    ):  # fmt: skip
        assert not session.admits(cookies, authorization)


def test_an_address_brings_exactly_one_token(session: Session) -> None:
    assert session.token_in(b"token=the-token-of-this-test")
    for query in (b"", b"token=", b"token=x", b"token=the-token-of-this-test&token=x", b"&" * 100, b"\xff=\xfe"):
        assert not session.token_in(query)


def test_the_app_is_called_by_names_of_this_machine_alone(session: Session) -> None:
    assert session.hosts == ("127.0.0.1:8437", "localhost:8437", "[::1]:8437")
    assert session.address == "http://127.0.0.1:8437/?token=the-token-of-this-test"
