// SPDX-License-Identifier: Apache-2.0
//
// Makes the scripts of the site small: comments and long local names go, what they do stays. Names
// that others use are kept: each is a property, or stands outside functions.
//
// Reads {"name": text, …} as JSON from its input and writes the same with shorter texts.
import { text } from "node:stream/consumers";
import { minifier } from "./vendor.mjs";

const { minify } = await minifier();
const OPTIONS = {
  ecma: 2020,
  compress: { passes: 2, unsafe_arrows: false },
  format: { comments: /copyright/i },
};
const ALONE = new Set(["worker.js"]); // nobody sees what stands outside its functions
const scripts = JSON.parse(await text(process.stdin));
for (const [name, script] of Object.entries(scripts)) {
  scripts[name] = `${(await minify({ [name]: script },
    { ...OPTIONS, toplevel: ALONE.has(name) })).code}\n`;
}
process.stdout.write(JSON.stringify(scripts));
