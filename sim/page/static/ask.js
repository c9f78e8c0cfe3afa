// Every question to the server goes through here.
export class Refused extends Error {
  constructor(answer) {
    super(answer.message ?? "The bench did not answer.");
    this.problems = answer.problems ?? [];
    this.state = answer.state;
  }
}

const GONE = { message: "The bench does not answer. Is drytank still running? What you typed is kept." };

async function answered(work) {
  try {
    return await work();
  } catch (problem) {
    if (problem.name === "AbortError") throw problem;
    throw new Refused(GONE);
  }
}

const asked = (name, given, signal) => answered(() => fetch(`ask/${name}`, { method: "POST", body: JSON.stringify(given), signal }));

function taken(response, answer) {
  if (!response.ok || answer.refused) throw new Refused(answer);
  return answer;
}

export async function ask(name, given = {}) {
  const response = await asked(name, given);
  return taken(response, await response.json().catch(() => ({})));
}

// An answer that comes in pieces, a line for each, as soon as they are there.
export async function* pieces(name, given, signal) {
  const response = await asked(name, given, signal), reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
  for (let text = "", done = false; !done;) {
    const read = await answered(() => reader.read());
    done = read.done;
    const lines = (text + (read.value ?? "")).split("\n");
    text = done ? "" : lines.pop();
    for (const line of lines.filter(Boolean)) yield taken(response, JSON.parse(line));
  }
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
