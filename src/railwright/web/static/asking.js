// Asks the server while a slider moves: one question on its way, the newest one waiting, older ones forgotten.
import { ask } from "./api.js";

export function makeAsker(onAnswer, onRefusal) {
  let busy = false;
  let waiting = null;
  let turn = 0;

  async function run() {
    while (waiting) {
      const { question, mine } = waiting;
      waiting = null;
      try {
        const answer = await ask("answer", question());
        // A stale reply would show a place that the slider has left.
        if (mine === turn || !waiting) onAnswer(answer, mine === turn);
      } catch (refused) {
        if (mine === turn) onRefusal(refused);
      }
    }
    busy = false;
  }

  // `question` is a function: what the page has already is only known when it is asked.
  return function asked(question) {
    turn += 1;
    waiting = { question, mine: turn };
    if (!busy) {
      busy = true;
      run();
    }
  };
}
