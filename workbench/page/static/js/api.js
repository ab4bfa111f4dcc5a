// Questions to the server of this page, and what to say when it does not answer.

const token = document.querySelector('meta[name="halfshade-token"]').content;

/** The server refused or could not answer; `problems` name fields of the plan. */
export class Refused extends Error {
  constructor(message, { problems = [], status = 0 } = {}) {
    super(message);
    this.problems = problems;
    this.status = status;
  }
}

const MESSAGES = {
  0: "The page's server does not answer. If you closed its window, start it again with “halfshade page”, then reload this page. What you changed stands in this page's address.",
  403: "The server does not know this page any more, because it was started again. Reload the page; your changes stand in its address.",
  413: "This file is larger than a plan can be (1 MB).",
  429: "The machine is busy with an earlier question. Wait until it is done or cancel it, then try again.",
  500: "Something went wrong on our side. Your plan is still here; try again, or undo the last change.",
  503: "The part that computes has stopped and is being started again. Your plan is still here; try once more in a few seconds.",
};

async function ask(path, options = {}) {
  let answer;
  try {
    answer = await fetch(path, options);
  } catch (fault) {
    if (fault.name === "AbortError") throw fault;
    throw new Refused(MESSAGES[0]);
  }
  if (answer.ok) return answer;
  const body = await answer.json().catch(() => ({}));
  const problems = body.problems ?? [];
  const said = body.message ?? (problems.length ? "The plan has values that cannot be." : null);
  throw new Refused(said ?? MESSAGES[answer.status] ?? MESSAGES[500], { problems, status: answer.status });
}

function post(path, body, type = "application/json") {
  const content = type === "application/json" ? JSON.stringify(body) : body;
  return ask(path, { method: "POST", headers: { "Content-Type": type, "X-Halfshade-Token": token }, body: content });
}

const json = async (answer) => (await answer).json();

export const start = () => json(ask("/api/start"));
export const plan = (values) => json(post("/api/plan", { plan: values }));
export const open = (text) => json(post("/api/open", text, "application/toml"));
export const layout = (question) => json(post("/api/layout", question));
export const example = (id) => json(post("/api/example", { id }));
export const startJob = (kind, values, more = {}) => json(post("/api/jobs", { kind, plan: values, ...more }));
export const job = (id) => json(ask(`/api/jobs/${encodeURIComponent(id)}`));
export const cancelJob = (id) =>
  ask(`/api/jobs/${encodeURIComponent(id)}`, { method: "DELETE", headers: { "X-Halfshade-Token": token } });

/** Ask for a file and hand it to the browser to be saved. */
export async function download(path, values, otherwise, more = {}) {
  const answer = await post(path, { plan: values, ...more });
  const named = /filename="?([^";]+)"?/.exec(answer.headers.get("Content-Disposition") ?? "");
  const address = URL.createObjectURL(await answer.blob());
  const link = Object.assign(document.createElement("a"), { href: address, download: named?.[1] ?? otherwise });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
  return link.download;
}
