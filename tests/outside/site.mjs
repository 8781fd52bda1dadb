// Checks of a published site by outside programs, in headless Chromium and from file://.
//   node tests/outside/site.mjs SITE
// 1. the Nu HTML checker over every page: no error, no warning
// 2. axe-core, light and dark, phone and desktop: no violation
// 3. a walk from the gallery by filter, build, photo, part and search: no console message, no request
//    that leaves the site
// 4. a build's page in print: one or two sheets, A4 and Letter
import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const require = createRequire(import.meta.url);
const site = resolve(process.argv[2] ?? 'content-example/site');
const browser = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);
if (!existsSync(join(site, 'index.html')) || !browser) {
  console.error(`${site} is no published site, or there is no Chromium`);
  process.exit(2);
}
const pages = readdirSync(site, { recursive: true }).filter((file) => file.endsWith('.html')).sort();
const address = (page) => pathToFileURL(join(site, page)).href;
let faults = 0;
function fault(text) {
  faults += 1;
  console.log(`fault: ${text}`);
}

function checkMarkup() {
  const jar = require('vnu-jar');
  const run = spawnSync('java', ['-jar', jar, '--Werror', '--skip-non-html', site], { encoding: 'utf8' });
  const told = run.stderr.split('\n').filter(Boolean);
  told.slice(0, 20).forEach((line) => fault(line.replace(address(''), '')));
  if (run.status !== 0 && !told.length) fault(`the Nu HTML checker ended with ${run.status ?? run.error}`);
  console.log(`markup: ${pages.length} pages`);
}

// One page of each kind, and every build.
function chosen() {
  const first = (folder) => pages.filter((page) => page.startsWith(folder)).slice(0, 2);
  const builds = pages.filter((page) => /^builds\/[^/]+\.html$/.test(page));
  const entries = pages.filter((page) => /^builds\/[^/]+\//.test(page)).slice(0, 3);
  return [...new Set([...pages.filter((page) => !page.includes('/')), ...builds, ...entries, ...first('parts/'), ...first('checks/')])];
}

async function checkAccess(chrome) {
  const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
  let looked = 0;
  for (const colorScheme of ['light', 'dark']) {
    for (const viewport of [{ width: 360, height: 780 }, { width: 1280, height: 900 }]) {
      const context = await chrome.newContext({ colorScheme, viewport, bypassCSP: true });
      const page = await context.newPage();
      for (const path of chosen()) {
        await page.goto(address(path));
        // What is folded is looked at as well.
        await page.evaluate(() => document.querySelectorAll('details').forEach((one) => { one.open = true; }));
        await page.evaluate(axe);
        const { violations } = await page.evaluate(() => window.axe.run());
        looked += 1;
        for (const one of violations) {
          fault(`${path}, ${colorScheme}, ${viewport.width}: ${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((node) => node.target + ' ' + node.html.slice(0, 120)).join(' | ')}`);
        }
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        if (wide > 0) fault(`${path} is ${wide} px wider than ${viewport.width}`);
      }
      await context.close();
    }
  }
  console.log(`access: ${looked} views`);
}

async function walk(chrome) {
  const context = await chrome.newContext({ viewport: { width: 1280, height: 900 } });
  const page = await context.newPage();
  page.on('console', (message) => fault(`console: ${message.text()}`));
  page.on('pageerror', (error) => fault(`script: ${error.message}`));
  page.on('request', (request) => {
    const to = request.url();
    if (!to.startsWith(address('')) && !to.startsWith('data:')) fault(`request to ${to}`);
  });
  const must = (truth, what) => { if (!truth) fault(what); };
  const shown = () => page.locator('.row:visible').count();

  await page.goto(address('index.html'));
  const all = await shown();
  await page.locator('[data-filter=state] input').first().check();
  const some = await shown();
  must(0 < some && some < all, `the filter shows ${some} of ${all} builds`);
  must(page.url().includes('state='), 'the filter does not stand in the address');
  await page.reload();
  must(await shown() === some, 'the filter is lost when the page is loaded again');
  await page.locator('[data-filter=state] input').first().uncheck();
  await page.locator('#narrow').fill('zzzz');
  must(await shown() === 0 && await page.locator('#nothing').isVisible(), 'nothing found is not told');
  await page.locator('#narrow').fill('');
  await page.locator('#sort').selectOption('name');
  const names = await page.locator('.row h2').allTextContents();
  must(names.join() === [...names].sort((a, b) => a.localeCompare(b)).join(), `sorted by name: ${names}`);

  await page.locator('.row:has(img) h2 a').first().click();
  await page.waitForURL(/builds\/.*html/);
  const build = page.url();
  const summary = page.locator('details:not([open]) > summary').first();
  await summary.focus();
  await page.keyboard.press('Enter');
  const photos = await page.locator('a.zoom').count();
  await page.locator('a.zoom').first().focus();
  await page.keyboard.press('Enter');
  const image = page.locator('dialog[open] img');
  const large = await image.getAttribute('src');
  must(Boolean(await image.getAttribute('alt')), 'the large photo has no alt text');
  if (photos > 1) {
    await page.keyboard.press('ArrowRight');
    must(await image.getAttribute('src') !== large, 'the arrow key shows no other photo');
    await page.keyboard.press('ArrowLeft');
    must(await image.getAttribute('src') === large, 'the arrow key does not lead back');
  }
  await page.keyboard.press('Escape');
  must(await page.locator('dialog[open]').count() === 0, 'Escape does not close the photo');
  must(page.url().startsWith(build), 'the photo has led away from the page');

  await page.locator('.spec th a').first().click();
  await page.waitForURL(/parts\/.*html/);
  const part = (await page.locator('h1').textContent()).trim();
  await page.getByRole('link', { name: 'Search', exact: true }).click();
  await page.waitForURL(/search\.html/);
  const find = async (words) => {
    await page.locator('#search').fill('');
    await page.locator('#search').fill(words);
    await page.waitForFunction(() => document.getElementById('found').textContent !== '');
    return page.locator('#hits a').allTextContents();
  };
  const word = part.split(/\s+/).sort((a, b) => b.length - a.length)[0];
  must((await find(part)).includes(part), `search for ${part} does not find it`);
  must((await find(word.slice(0, -1))).includes(part), `the beginning ${word.slice(0, -1)} does not find ${part}`);
  must((await find(word.replace(/[aeo]/, (c) => ({ a: 'á', e: 'é', o: 'ö' })[c]))).includes(part), 'accents count');
  must((await find('zzzz')).length === 0, 'search finds what is not there');
  await find(part);
  await page.locator('#hits a', { hasText: part }).first().click();
  await page.waitForURL(/html$/);
  await context.close();
  console.log('walk: gallery, filter, build, photo, part, search');

  const plain = await chrome.newContext({ javaScriptEnabled: false });
  const still = await plain.newPage();
  await still.goto(address('index.html'));
  must(await still.locator('.row').count() === all, 'without scripts the gallery is not whole');
  must(!await still.locator('#filters').isVisible(), 'without scripts the filters are shown');
  await plain.close();
}

async function print(chrome) {
  const context = await chrome.newContext();
  const page = await context.newPage();
  for (const path of pages.filter((page) => /^builds\/[^/]+\.html$/.test(page))) {
    await page.goto(address(path));
    for (const format of ['A4', 'Letter']) {
      const pdf = (await page.pdf({ format })).toString('latin1');
      const sheets = (pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length;
      if (sheets < 1 || sheets > 2) fault(`${path} prints on ${sheets} sheets of ${format}`);
    }
  }
  await context.close();
  console.log('print: every build on one or two sheets, A4 and Letter');
}

checkMarkup();
const chrome = await chromium.launch({ executablePath: browser, args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
await checkAccess(chrome);
await walk(chrome);
await print(chrome);
await chrome.close();
console.log(faults ? `${faults} faults` : `no fault in ${relative('.', site)}`);
process.exit(faults ? 1 : 0);
