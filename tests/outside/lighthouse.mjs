// Lighthouse on a published site, served from this machine only: the gallery and a build's page, phone
// and desktop. 100 for accessibility, best practices and search engines; nothing shifts; the page, and
// what it loads beside its pictures, within their budgets.
//   node tests/outside/lighthouse.mjs SITE [--performance]
// With --performance it prints the median performance score of five runs and judges nothing: that is
// for a quiet machine, by hand.
import { createServer } from 'node:http';
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { extname, join, resolve, sep } from 'node:path';
import { gzipSync } from 'node:zlib';
import { launch } from 'chrome-launcher';
import lighthouse, { desktopConfig } from 'lighthouse';

const KB = 1024;
const PAGE = 120 * KB;
const BESIDE = 90 * KB;
const site = resolve(process.argv[2] ?? 'content-example/site');
const byHand = process.argv.includes('--performance');
const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);
if (!existsSync(join(site, 'index.html')) || !browser) {
  console.error(`${site} is no published site, or there is no Chromium`);
  process.exit(2);
}
const kinds = { '.html': 'text/html; charset=utf-8', '.css': 'text/css', '.js': 'text/javascript', '.svg': 'image/svg+xml', '.woff2': 'font/woff2', '.jpg': 'image/jpeg', '.webp': 'image/webp', '.png': 'image/png', '.xml': 'application/xml' };
const packed = new Set(['.html', '.css', '.js', '.svg', '.xml']);
const server = createServer((request, response) => {
  const path = resolve(join(site, decodeURIComponent(new URL(request.url, 'http://localhost').pathname)));
  const file = existsSync(path) && statSync(path).isDirectory() ? join(path, 'index.html') : path;
  if (!(file + sep).startsWith(site + sep) || !existsSync(file)) {
    response.writeHead(404).end();
    return;
  }
  const head = { 'content-type': kinds[extname(file)] ?? 'application/octet-stream', 'cache-control': 'max-age=31536000' };
  const bytes = readFileSync(file);
  if (packed.has(extname(file))) response.writeHead(200, { ...head, 'content-encoding': 'gzip' }).end(gzipSync(bytes));
  else response.writeHead(200, head).end(bytes);
});
await new Promise((done) => { server.listen(0, '127.0.0.1', done); });
const home = `http://localhost:${server.address().port}/`;

// The build with the heaviest page.
const builds = readdirSync(join(site, 'builds')).filter((name) => name.endsWith('.html'));
const heaviest = builds.sort((a, b) => statSync(join(site, 'builds', b)).size - statSync(join(site, 'builds', a)).size)[0];
const chrome = await launch({ chromePath: browser, chromeFlags: ['--headless=new', '--no-sandbox', '--disable-gpu', '--disable-background-networking'], logLevel: 'silent' });
let faults = 0;
const fault = (text) => { faults += 1; console.log(`fault: ${text}`); };

async function look(page, desktop, categories) {
  const flags = { port: chrome.port, logLevel: 'silent', onlyCategories: categories };
  const { lhr } = await lighthouse(home + page, flags, desktop ? desktopConfig : undefined);
  if (lhr.runtimeError) throw new Error(lhr.runtimeError.message);
  return lhr;
}

async function judge(page, desktop) {
  const told = `${page}, ${desktop ? 'desktop' : 'phone'}`;
  const { categories, audits } = await look(page, desktop, ['accessibility', 'best-practices', 'seo', 'performance']);
  for (const [id, { score, auditRefs }] of Object.entries(categories)) {
    if (id === 'performance' || score === 1) continue;
    const failed = auditRefs.filter((ref) => ref.weight > 0 && audits[ref.id].score !== null && audits[ref.id].score < 1);
    fault(`${told}: ${id} ${score === null ? 'not scored' : Math.round(score * 100)}: ${failed.map((ref) => audits[ref.id].title).join('; ')}`);
  }
  const shift = audits['cumulative-layout-shift'].numericValue;
  if (!(shift === 0)) fault(`${told}: the layout shifts by ${shift}`);
  const requests = audits['network-requests'].details.items;
  const away = requests.filter((one) => !one.url.startsWith(home) && !one.url.startsWith('data:'));
  away.forEach((one) => fault(`${told}: request to ${one.url}`));
  // As they lie on the disk, not as they were packed for the way.
  const size = (one) => statSync(join(site, decodeURIComponent(new URL(one.url).pathname))).size;
  const beside = requests.filter((one) => ['Script', 'Stylesheet', 'Font'].includes(one.resourceType)).reduce((sum, one) => sum + size(one), 0);
  const html = statSync(join(site, page)).size;
  if (html > PAGE) fault(`${told}: ${html} bytes of HTML`);
  if (!beside || beside > BESIDE) fault(`${told}: ${beside} bytes of style, scripts and fonts`);
  const way = audits['total-byte-weight'].numericValue;
  console.log(`${told}: ${(html / KB).toFixed(1)} KB of HTML, ${(beside / KB).toFixed(1)} KB of style, scripts and fonts, ${(way / KB).toFixed(0)} KB with its pictures on the way`);
}

async function median(page, desktop) {
  const scores = [];
  for (let run = 0; run < 5; run += 1) {
    const { categories } = await look(page, desktop, ['performance']);
    scores.push(Math.round(categories.performance.score * 100));
  }
  scores.sort((a, b) => a - b);
  console.log(`${page}, ${desktop ? 'desktop' : 'phone'}: performance ${scores[2]} (${scores.join(', ')})`);
}

for (const page of ['index.html', `builds/${heaviest}`]) {
  for (const desktop of [false, true]) await (byHand ? median : judge)(page, desktop);
}
await chrome.kill();
server.close();
console.log(faults ? `${faults} faults` : 'lighthouse: no fault');
process.exit(faults ? 1 : 0);
