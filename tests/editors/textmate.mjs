// The TextMate grammar in the engine that editors use (vscode-textmate with Oniguruma), injected into the Markdown grammar
// of tm-grammars. Run with the folder that holds the packages: node textmate.mjs FOLDER
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";

const packages = createRequire(join(resolve(process.argv[2]), "package.json"));
const { Registry, INITIAL } = packages("vscode-textmate");
const oniguruma = packages("vscode-oniguruma");
const home = new URL("../..", import.meta.url).pathname;

await oniguruma.loadWASM(readFileSync(packages.resolve("vscode-oniguruma/release/onig.wasm")).buffer);
const injection = JSON.parse(readFileSync(join(home, "grammar/meniscus.tmLanguage.json"), "utf8"));
const files = { "text.html.markdown": "markdown", "text.html.derivative": "html-derivative", "text.html.basic": "html", "source.yaml": "yaml" };
const registry = new Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: async (scope) => {
    if (scope === injection.scopeName) return injection;
    if (!files[scope]) return null;
    return JSON.parse(readFileSync(packages.resolve(`tm-grammars/grammars/${files[scope]}.json`), "utf8"));
  },
  getInjections: (scope) => (scope === "text.html.markdown" ? [injection.scopeName] : undefined),
});
const grammar = await registry.loadGrammar("text.html.markdown");

/** The scopes of every character of a text, line by line. */
function scopes(text) {
  let state = INITIAL;
  return text.split("\n").map((line) => {
    const result = grammar.tokenizeLine(line, state);
    state = result.ruleStack;
    const of = [];
    for (const token of result.tokens) for (let at = token.startIndex; at < token.endIndex; at++) of[at] = token.scopes;
    return { line, of };
  });
}

let passed = 0, failed = 0;
function check(what, right, seen) {
  if (right) return void passed++;
  failed++;
  console.error(`FAILED: ${what}; seen: ${seen}`);
}

const classes = {
  delimiter: "punctuation.definition.item",
  separator: "punctuation.separator.clause",
  head: "entity.name.variable",
  symbol: "variable.other",
  word: "keyword.operator.word",
  style: "support.constant.style",
  string: "string.quoted.double",
  operator: "keyword.operator",
  number: "constant.numeric",
  unit: "keyword.other.unit",
  clause: "keyword.other.clause",
  instrument: "entity.name.type.instrument",
  kind: "support.type.kind",
  "own kind": "entity.name.type.kind",
  shape: "storage.modifier.shape",
  function: "support.function",
  constant: "constant.language",
  command: "keyword.control",
};

const lines = scopes(readFileSync(join(home, "tests/editors/places.md"), "utf8"));
for (const row of readFileSync(join(home, "tests/editors/places.tsv"), "utf8").trimEnd().split("\n")) {
  const [context, piece, wanted] = row.split("\t");
  const found = lines.find(({ line }) => line.includes(context));
  const scopesThere = found?.of[found.line.indexOf(context) + context.indexOf(piece)] ?? ["nowhere.meniscus"];
  const own = scopesThere.filter((scope) => scope.endsWith(".meniscus") && scope !== "meta.paragraph.meniscus");
  const right = wanted === "plain" ? own.length === 0 : own.at(-1)?.startsWith(`${classes[wanted]}.`);
  check(`"${piece}" in "${context}" is ${wanted}`, right, own);
}

// In the samples every item begins and ends where it does, and what is outside is left alone.
for (const sample of ["beeswax", "gate", "hurried"]) {
  const text = readFileSync(join(home, `samples/${sample}/report.md`), "utf8");
  const seen = scopes(text);
  const inner = (scopes) => scopes?.some((scope) => scope === "meta.item.meniscus");
  const items = (text.match(/~\{/g) ?? []).length;
  let begun = 0, ended = 0;
  for (const { of } of seen)
    of.forEach((scopes, at) => {
      begun += scopes.includes("punctuation.definition.item.begin.meniscus") && !of[at - 1]?.includes("punctuation.definition.item.begin.meniscus");
      ended += scopes.includes("punctuation.definition.item.end.meniscus");
    });
  check(`${sample}: ${items} items begin`, begun === items, begun);
  check(`${sample}: its items end`, ended > 0 && ended <= items && (sample === "hurried" || ended === items), ended);
  const stray = seen.some(({ line, of }) => /^(#|$)/.test(line) && !line.includes("~{") && of.some(inner));
  check(`${sample}: no item goes on into a heading or over a blank line`, !stray, stray);
}

console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
