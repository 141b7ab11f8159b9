// Holds a JSON file against a schema, and nothing more: shape.cjs SCHEMA FILE.
// With a number of seconds it does so for that long, from the text each time,
// and prints how many milliseconds one took. Used by the benchmarks only.
"use strict";
const Ajv = require("ajv/dist/2020");
const fs = require("node:fs");

const [schema, file, seconds] = process.argv.slice(2);
const ajv = new Ajv({ strict: false, validateSchema: false });
const fits = ajv.compile(JSON.parse(fs.readFileSync(schema, "utf8")));
const text = fs.readFileSync(file, "utf8");

let n = 0;
const start = process.hrtime.bigint();
const elapsed = () => Number(process.hrtime.bigint() - start) / 1e6;
do {
  n++;
  if (!fits(JSON.parse(text))) {
    console.error(fits.errors);
    process.exit(1);
  }
} while (seconds && elapsed() < seconds * 1e3);
if (seconds) process.stdout.write(String(elapsed() / n) + "\n");
