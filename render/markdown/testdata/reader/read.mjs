// Reads Markdown from standard input and writes, as JSON, the blocks that two
// readers see in it: the reference implementation of CommonMark, and one with
// GitHub's extensions. Text holds no markup any more; what was markup is
// listed beside it.
import { Parser } from "commonmark";
import { fromMarkdown } from "mdast-util-from-markdown";
import { gfmFromMarkdown } from "mdast-util-gfm";
import { gfm } from "micromark-extension-gfm";
import { readFileSync } from "node:fs";

const source = readFileSync(0, "utf8");
process.stdout.write(JSON.stringify({ commonmark: commonmark(source), github: github(source) }));

function commonmark(text) {
  const blocks = [];
  const leaves = new Set(["heading", "paragraph", "code_block", "html_block", "thematic_break"]);
  const inside = [];
  const walker = new Parser().parse(text).walker();
  let block = null;
  for (let event; (event = walker.next()); ) {
    const { node, entering } = event;
    if (leaves.has(node.type)) {
      if (entering) {
        block = { type: node.type, level: node.level ?? 0, inside: [...inside], text: node.literal ?? "", links: [], html: [], other: [] };
        blocks.push(block);
      }
      continue;
    }
    if (["block_quote", "list", "item"].includes(node.type)) {
      entering ? inside.push(node.type) : inside.pop();
      continue;
    }
    if (!entering || node.type === "document") continue;
    switch (node.type) {
      case "text": case "code": block.text += node.literal; break;
      case "softbreak": block.text += " "; block.other.push("softbreak"); break;
      case "linebreak": block.text += "\n"; break;
      case "html_inline": block.html.push(node.literal); break;
      case "link": block.links.push(node.destination); break;
      case "strong": case "emph": break;
      default: block.other.push(node.type);
    }
  }
  return blocks;
}

function github(text) {
  const blocks = [];
  const tree = fromMarkdown(text, { extensions: [gfm()], mdastExtensions: [gfmFromMarkdown()] });
  visit(tree, []);
  return blocks;

  function visit(node, inside) {
    switch (node.type) {
      case "root": case "list": case "listItem": case "blockquote":
        for (const child of node.children) visit(child, node.type === "root" ? inside : [...inside, node.type]);
        return;
      case "table":
        blocks.push({ ...leaf("table", inside), rows: node.children.map((row) => row.children.map((cell) => inline(cell, leaf("cell", [])))) });
        return;
      case "heading": case "paragraph":
        blocks.push(inline(node, { ...leaf(node.type, inside), level: node.depth ?? 0 }));
        return;
      default:
        blocks.push({ ...leaf(node.type, inside), text: node.value ?? "" });
    }
  }

  function leaf(type, inside) {
    return { type, level: 0, inside, text: "", links: [], html: [], other: [] };
  }

  function inline(node, block) {
    for (const child of node.children) {
      switch (child.type) {
        case "text": case "inlineCode": block.text += child.value; break;
        case "break": block.text += "\n"; break;
        case "html": block.html.push(child.value); break;
        case "link": block.links.push(child.url); inline(child, block); break;
        case "strong": case "emphasis": inline(child, block); break;
        default: block.other.push(child.type); if (child.children) inline(child, block);
      }
    }
    return block;
  }
}
