// Reads a JSON list of Markdown texts, and writes the JSON list of what each
// of them becomes in HTML.
import { readFileSync } from "node:fs";
import { micromark } from "micromark";
import { gfm, gfmHtml } from "micromark-extension-gfm";

const texts = JSON.parse(readFileSync(0, "utf8"));
const html = texts.map((text) =>
  micromark(text, { allowDangerousHtml: true, allowDangerousProtocol: true, extensions: [gfm()], htmlExtensions: [gfmHtml()] }),
);
process.stdout.write(JSON.stringify(html));
