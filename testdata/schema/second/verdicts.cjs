// Reads {schema, samples: {name: value}} from standard input, one JSON text a
// line, and prints {name: fits} for each line. Used by the Go tests only.
"use strict";
const Ajv = require("ajv/dist/2020");

const lines = require("node:fs").readFileSync(0, "utf8").split("\n").filter(Boolean);
for (const line of lines) {
  const { schema, samples } = JSON.parse(line);
  // Strict, but for two things that the schemas mean: a revision may be written
  // 3 or "B", and a branch may require a member of the group round it (the Go
  // tests hold every required member to one that there is).
  const ajv = new Ajv({ strict: true, allowUnionTypes: true, strictRequired: false, validateSchema: true });
  ajv.addKeyword("patternErrorMessage"); // words for an editor
  const fits = ajv.compile(schema);
  const verdicts = {};
  for (const [name, value] of Object.entries(samples)) verdicts[name] = fits(value);
  process.stdout.write(JSON.stringify(verdicts) + "\n");
}
