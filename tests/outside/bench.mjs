// The bench in headless Chromium: what a person sees while they write.
//   node tests/outside/bench.mjs [ENDSHAKE]
// A save puts the new main part in place of the old one, with the page neither loaded anew nor scrolled;
// what is broken is told over the last good page; where more than the main part changed the page is
// loaded anew at the same spot; and the console stays empty throughout.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { chromium } from 'playwright-core';

const target = process.env.CARGO_TARGET_DIR ?? 'target';
const endshake = resolve(process.argv[2] ?? join(target, 'debug/endshake'));
const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);
if (!existsSync(endshake) || !browser) {
  console.error(`there is no ${endshake}, or no Chromium`);
  process.exit(2);
}
const folder = mkdtempSync(join(tmpdir(), 'endshake-bench-'));
const journal = join(folder, 'journal');
const env = { ...process.env, XDG_CACHE_HOME: join(folder, 'cache') };
let faults = 0;
function expect(holds, text) {
  if (holds) return;
  faults += 1;
  console.log(`fault: ${text}`);
}

spawnSync(endshake, ['start', journal], { env });
const slug = readdirSync(join(journal, 'builds')).sort()[0];
const log = join(journal, 'builds', slug, '2030-01-01-long.md');
const words = (last) => `---\ndate: 2030-01-01\ntitle: A long day\n---\n${'Filed a little, looked a little.\n\n'.repeat(120)}${last}\n`;
writeFileSync(log, words('The first end.'));

const bench = spawn(endshake, ['bench', journal, '--port', '0'], { env, stdio: ['ignore', 'pipe', 'inherit'] });
const lines = createInterface({ input: bench.stdout });
const address = await new Promise((found) => {
  lines.on('line', (line) => { if (line.startsWith('open http')) found(line.split(' ')[1]); });
});
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox'] });
try {
  const page = await (await chrome.newContext({ viewport: { width: 1100, height: 800 } })).newPage();
  page.on('console', (message) => expect(false, `console: ${message.text()}`));
  page.on('pageerror', (error) => expect(false, `script: ${error.message}`));
  await page.goto(`${address}builds/${slug}/2030-01-01-long.html`);
  const shows = (text) => page.waitForFunction((text) => document.querySelector('main').textContent.includes(text), text);
  const top = () => page.evaluate(() => window.scrollY);
  const drawn = () => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  await shows('The first end.');
  await page.evaluate(() => { window.stayed = true; window.scrollTo({ top: 1500, behavior: 'instant' }); });
  const spot = await top();
  expect(spot > 1000, `the page is too short to scroll (${spot})`);

  writeFileSync(log, words('Another end.'));
  await shows('Another end.');
  await drawn();
  expect(await page.evaluate(() => window.stayed === true), 'the page was loaded anew for its main part');
  expect(await top() === spot, `it scrolled from ${spot} to ${await top()}`);
  expect(await page.evaluate(() => document.querySelectorAll('main').length) === 1, 'there is not one main part');

  writeFileSync(log, words('Broken.').replace('2030-01-01', '2030-13-01'));
  await page.waitForSelector('#bench-note:not([hidden])');
  const note = await page.textContent('#bench-note');
  expect(note.includes(`builds/${slug}/2030-01-01-long.md:2:7`), `the note tells no place: ${note}`);
  expect((await page.textContent('main')).includes('Another end.'), 'the last good page is gone');
  writeFileSync(log, words('Mended.'));
  await page.waitForSelector('#bench-note', { state: 'hidden' });
  await shows('Mended.');
  await drawn();
  expect(await page.evaluate(() => window.stayed === true), 'the page was loaded anew for a mended file');
  expect(await top() === spot, `mended, it scrolled from ${spot} to ${await top()}`);

  mkdirSync(join(journal, 'themes/linen'), { recursive: true });
  writeFileSync(join(journal, 'themes/linen/more.css'), 'main { outline: 3px solid rgb(1, 2, 3); }\n');
  await page.waitForFunction(() => getComputedStyle(document.querySelector('main')).outlineColor === 'rgb(1, 2, 3)');
  await page.waitForFunction((spot) => window.stayed === undefined && Math.abs(window.scrollY - spot) <= 2, spot)
    .catch(async () => expect(false, `loaded anew for another style, it is at ${await top()} and not at ${spot}`));

  const published = join(journal, 'site');
  const scripts = readdirSync(published, { recursive: true }).filter((file) => /\.(html|js)$/.test(file));
  expect(scripts.length > 10, 'the bench published nothing');
  for (const file of scripts) {
    expect(!readFileSync(join(published, file), 'utf8').includes('/.bench/'), `${file} has the bench's script`);
  }
} catch (error) {
  expect(false, error.message);
} finally {
  await chrome.close();
  bench.kill('SIGTERM');
  rmSync(folder, { recursive: true, force: true });
}
console.log(faults ? `bench: ${faults} faults` : 'bench: as it should be');
process.exit(faults ? 1 : 0);
