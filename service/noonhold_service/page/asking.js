// The only way out of this page: the documented API of the service it came from.

import { KEPT, tellAge } from "./offline.js";

const KEY = "noonhold.key";
const RETRY_S = 3;
const BUSY = {
  busy: "The service is busy with other questions. This page tries again by itself.",
  "not-ready": "The service has just started and is still getting ready. This page tries again by itself.",
  "out-of-time": "The service ended this question because it took too long. Ask for fewer days, or later again.",
};
let inMemory = "";

export class Trouble extends Error {
  constructor(words, { status = 0, faults = [], waitS = 0, problem = null } = {}) {
    super(words);
    Object.assign(this, { status, faults, waitS, problem });
  }
}

function key() {
  try {
    return sessionStorage.getItem(KEY) ?? inMemory;
  } catch {
    return inMemory;
  }
}

// Kept until this tab is closed, nowhere else.
export function keepKey(text) {
  inMemory = text;
  try {
    sessionStorage.setItem(KEY, text);
  } catch {
    // In memory, then: it is asked for again after a reload.
  }
}

export const hasKey = () => key() !== "";

export async function get(path, signal) {
  return (await send(path, { signal })).json();
}

export async function post(path, document, { signal, accept = "application/json" } = {}) {
  const response = await send(path, {
    method: "POST",
    signal,
    headers: { "Content-Type": "application/json", Accept: accept },
    body: JSON.stringify(document),
  });
  return accept === "application/json" ? response.json() : response.blob();
}

async function send(path, options) {
  const headers = { Accept: "application/json", ...options.headers };
  if (hasKey()) headers.Authorization = `Bearer ${key()}`;
  let response;
  try {
    response = await fetch(path, { ...options, headers });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Trouble(
      "The service does not answer. It may be stopped, or the connection is down." +
        " Your question is kept; the answer comes as soon as it is back.",
      { waitS: 5 },
    );
  }
  if (response.ok) {
    tellAge(path, response.headers.get(KEPT));
    return response;
  }
  throw await trouble(response);
}

async function trouble(response) {
  let problem = null;
  try {
    problem = await response.json();
  } catch {
    // Something between us and the service answered; its status has to do.
  }
  const status = response.status;
  const faults = problem?.errors ?? [];
  const again = status === 503 && !problem?.type?.endsWith("out-of-time");
  const waitS = Number(response.headers.get("Retry-After")) || (again ? RETRY_S : 0);
  return new Trouble(words(status, problem), { status, faults, waitS, problem });
}

function words(status, problem) {
  if (status === 401) return "This service asks for a key.";
  if (status === 503) return BUSY[problem?.type?.split("/").at(-1)] ?? BUSY.busy;
  if (status === 404 && !problem) return "The service does not know this address.";
  if (status === 413) return "That is more than the service takes at once.";
  if (status >= 500) {
    const named = problem?.request_id ? ` Tell the operator this number: ${problem.request_id}.` : "";
    return `The service failed at this question; the question may be sound.${named}`;
  }
  return problem?.detail ?? `The service answered with status ${status} and no reason.`;
}
