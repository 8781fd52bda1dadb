// The examples of the CommonMark 0.31.2 specification (package commonmark-spec) through our Markdown.
// Those that differ on purpose are listed below with the reason; any other difference fails, and so
// does one that is listed and no longer differs.
import { execFileSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';

const { tests } = createRequire(import.meta.url)('commonmark-spec');
const root = fileURLToPath(new URL('../..', import.meta.url));
const cargo = ['run', '--quiet', '--example', 'commonmark'];

// Why an example differs; each reason names the examples that it holds for.
const DIFFERENT = [
  ['a scheme other than http, https and mailto is not linked: the words stand alone', [596, 598, 599, 601]],
  [
    'a heading level that a text leaves out is closed up, for the text stands within a page',
    [59, 68, 71, 72, 73, 74, 76, 77, 79, 83, 84, 86, 89, 90, 91, 95, 96, 102, 103, 141, 646, 647],
  ],
];

// The same page for a reader: how void elements are closed, how quotes are written in text, the white
// space between blocks; and a photo's frame: it opens its largest size, stands as a figure where it is
// alone, and has its title as the caption. What is compared of it are its address and its alt text.
function same(html) {
  const blocks = 'p|h[1-6]|ul|ol|li|pre|blockquote|hr|table|thead|tbody|tr|td|th|div';
  return html
    .replace(/\s*\/>/g, '>')
    .replace(/<a class="zoom"[^>]*>(<img [^>]*>)<\/a>/g, '$1')
    .replace(/<figure>(.*?)(<figcaption>.*?<\/figcaption>)?<\/figure>/g, '<p>$1</p>')
    .replace(/<img [^>]*>/g, (image) => {
      const value = (name) => (image.match(new RegExp(` ${name}="([^"]*)"`)) || ['', ''])[1];
      return `<img ${value('src')} ${value('alt')}>`;
    })
    .replace(/&quot;/g, '"')
    .replace(/&#39;|&#x27;/g, "'")
    .replace(new RegExp(`\\s*(</?(?:${blocks})(?:\\s[^>]*)?>)\\s*`, 'g'), (all, tag) =>
      /<\/?pre/.test(tag) ? all.trim() : tag)
    .trim();
}

const texts = tests.map((test) => test.markdown.replace(/→/g, '\t'));
const ours = JSON.parse(execFileSync('cargo', cargo, { cwd: root, input: JSON.stringify(texts), maxBuffer: 1 << 26 }));
const reasons = new Map(DIFFERENT.flatMap(([why, numbers]) => numbers.map((number) => [number, why])));
let failed = 0;
let different = 0;
tests.forEach((test, at) => {
  const wanted = test.html.replace(/→/g, '\t');
  const equal = same(ours[at]) === same(wanted);
  if (!equal) different += 1;
  if (equal === !reasons.has(test.number)) return;
  failed += 1;
  console.log(equal
    ? `example ${test.number} no longer differs: ${reasons.get(test.number)}`
    : `example ${test.number} (${test.section})\n  text   ${JSON.stringify(texts[at])}\n  wanted ${JSON.stringify(wanted)}\n  ours   ${JSON.stringify(ours[at])}`);
});
console.log(`${tests.length} examples, ${different} differ for a reason that is listed, ${failed} unexpected`);
process.exit(failed ? 1 : 0);
