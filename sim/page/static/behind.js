// What fills in behind the swim, for as long as nothing is changed.
import { ask } from "./ask.js";

const PAUSE = 250; // ms between two looks

export function behind(parts) {
  let round = 0, working = false;

  async function fill(revision, choice) {
    const mine = ++round;
    working = true;
    for (;;) {
      let answer;
      try { answer = await ask("behind", choice); } catch { return; }
      if (mine !== round || answer.revision !== revision) return;
      for (const part of parts) part.show(answer);
      if (answer.done) { working = false; return; }
      await new Promise((next) => { setTimeout(next, PAUSE); });
      if (mine !== round) return;
    }
  }

  // what is shown stays where it is only being dragged over; `clear` takes it away
  function stop(clear = true) {
    round += 1;
    if (working) ask("behind", { stop: true }).catch(() => {});
    working = false;
    for (const part of parts) part.stop(clear);
  }

  return { fill, stop };
}
