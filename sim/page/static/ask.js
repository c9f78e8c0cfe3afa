// Every question to the server goes through here.
export class Refused extends Error {
  constructor(status, answer) {
    super(answer.message ?? "The bench did not answer.");
    this.status = status;
    this.problems = answer.problems ?? [];
    this.state = answer.state;
  }
}

export async function ask(name, given = {}, signal = undefined) {
  let response;
  try {
    response = await fetch(`ask/${name}`, { method: "POST", body: JSON.stringify(given), signal });
  } catch (problem) {
    if (problem.name === "AbortError") throw problem;
    throw new Refused(0, { message: "The bench does not answer. Is drytank still running? What you typed is kept." });
  }
  const answer = await response.json().catch(() => ({}));
  if (!response.ok) throw new Refused(response.status, answer);
  return answer;
}

// The newest of many calls, one under way at a time: what was asked meanwhile waits, and only the last of it is asked.
export function newest(call) {
  let busy = false, next = null;
  return async function run(...given) {
    if (busy) { next = given; return; }
    busy = true;
    try {
      await call(...given);
    } finally {
      busy = false;
      if (next) { const waiting = next; next = null; run(...waiting); }
    }
  };
}
