// What can be taken along: files in the forms that the service offers, the link, the curl line.

import { by } from "./dom.js";
import { post, hasKey } from "./asking.js";

const FORMS = { csv: "text/csv", png: "image/png", json: "application/json" };

export function curlLine(request) {
  const body = JSON.stringify(request, null, 1).replaceAll("'", "'\\''");
  const key = hasKey() ? " \\\n  -H 'Authorization: Bearer YOUR-KEY'" : "";
  return `curl -s ${location.origin}/v1/projections \\\n  -H 'Content-Type: application/json'${key} \\\n  -d '${body}'`;
}

export async function takeFile(form, request, answer, name) {
  const content =
    form === "json"
      ? new Blob([`${JSON.stringify(answer, null, 2)}\n`], { type: FORMS.json })
      : await post("/v1/projections", request, { accept: FORMS[form] });
  save(content, `${name}.${form}`);
}

function save(content, name) {
  const address = URL.createObjectURL(content);
  const anchor = document.createElement("a");
  anchor.href = address;
  anchor.download = name;
  document.body.append(anchor);
  anchor.click();
  anchor.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

export const saveText = (name, text) => save(new Blob([text], { type: FORMS.json }), name);

export async function copyText(text, said) {
  try {
    await navigator.clipboard.writeText(text);
    by("take-says").textContent = said;
  } catch {
    by("take-says").textContent = "The browser does not let this page copy; mark the text and copy it.";
  }
}
