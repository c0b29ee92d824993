// Reads a workflow from standard input with the parser of the server's maker and
// writes what it finds wrong, and the steps it makes of it, as JSON.
import { readFileSync } from "node:fs";
import { register } from "node:module";

// The parser imports its schema as JSON without saying so, which Node does not take.
register("data:text/javascript," + encodeURIComponent(`import { readFileSync } from "node:fs";
export const load = (url, context, next) => url.endsWith(".json")
  ? { format: "module", shortCircuit: true, source: "export default " + readFileSync(new URL(url), "utf8") }
  : next(url, context);`));
const { convertWorkflowTemplate, NoOperationTraceWriter, parseWorkflow } = await import("@actions/workflow-parser");

const result = parseWorkflow({ name: "library.yml", content: readFileSync(0, "utf8") }, new NoOperationTraceWriter());
const errors = result.context.errors.getErrors().map((e) => e.message);
const template = result.value && errors.length === 0 ? await convertWorkflowTemplate(result.context, result.value) : undefined;
for (const e of template?.errors ?? []) errors.push(e.Message);
const jobs = (template?.jobs ?? []).map((j) => ({
  id: j.id.value,
  steps: (j.steps ?? []).map((s) => ({ run: s.run?.toString() ?? "", uses: s.uses?.value ?? "", if: s.if?.expression ?? "" })),
}));
console.log(JSON.stringify({ errors, events: Object.keys(template?.events ?? {}), jobs }));
