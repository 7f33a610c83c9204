// Makes the page one file and that file a C++ source: `node build.js page.cpp`. The policy in it
// allows this very script and this very style and nothing else.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { existsSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";

const mark = "@@DATA@@";
const longestLiteral = 12000;

async function bundle(entry) {
    const made = await build({
        entryPoints: [entry],
        bundle: true,
        minify: true,
        write: false,
        metafile: true,
        target: "es2021",
        charset: "ascii",
        legalComments: "none",
    });
    return { text: made.outputFiles[0].text.trim(), inputs: Object.keys(made.metafile.inputs) };
}

function hashOf(text) {
    return `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
}

/** The licences of the packages that went into the script, as their authors wrote them. */
function noticesOf(inputs) {
    const folders = new Set();
    for (const input of inputs) {
        const found = /^node_modules\/(?:@[^/]+\/)?[^/]+/.exec(input);
        if (found) {
            folders.add(found[0]);
        }
    }
    return [...folders].sort().map((folder) => {
        const { name, version } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
        const file = readdirSync(folder).find((entry) => /^licen[cs]e/i.test(entry));
        if (!file) {
            throw new Error(`${name} brings no licence`);
        }
        const text = readFileSync(join(folder, file), "utf8").trim().replaceAll("--", "- -");
        return `${name} ${version}\n\n${text}\n`;
    });
}

function literals(text) {
    if (text.includes(')page"')) {
        throw new Error("the page holds what ends a literal");
    }
    const pieces = [];
    for (let at = 0; at < text.length; at += longestLiteral) {
        pieces.push(`    R"page(${text.slice(at, at + longestLiteral)})page"`);
    }
    return pieces.join(",\n");
}

const [, , into] = process.argv;
if (!into || !existsSync(dirname(into))) {
    throw new Error("say where the C++ source is to go");
}
const script = await bundle("src/main.ts");
const style = await bundle("src/page.css");
const policy = [
    "default-src 'none'",
    `script-src ${hashOf(script.text)}`,
    `style-src ${hashOf(style.text)}`,
    "base-uri 'none'",
    "form-action 'none'",
].join("; ");
const page = readFileSync("src/page.html", "utf8")
    .replace("@@NOTICES@@", () => noticesOf(script.inputs).join("\n"))
    .replace("@@POLICY@@", () => policy)
    .replace("@@STYLE@@", () => style.text)
    .replace("@@SCRIPT@@", () => script.text);
const parts = page.split(mark);
if (parts.length !== 2 || script.text.includes("</script")) {
    throw new Error("the page has no single place for its data");
}
const arrays = ["before", "after"].map(
    (name, i) => `constexpr std::string_view ${name}[] = {\n${literals(parts[i])}};\n`,
);
writeFileSync(
    into,
    `// Made by lib/page/build.js.\n#include "page/page_parts.hpp"\n\nnamespace vitalproof::page {\n\n` +
        `namespace {\n${arrays.join("")}}  // namespace\n\n` +
        `page_parts built_page() { return {before, after}; }\n\n}  // namespace vitalproof::page\n`,
);
