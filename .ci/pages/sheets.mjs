// Looks at client's sheets in a real browser and prints one JSON object a line for each file: how many pages it prints on, how far
// down the first page its gate ends, how high the smallest letters of its drawings are, what was requested, what the browser complained of, what axe-core found on a wide and on a
// narrow screen, and what html-validate found in the bytes.
import fs from 'node:fs'
import path from 'node:path'
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import puppeteer from 'puppeteer-core'
import { PDFDocument } from 'pdf-lib'
import { HtmlValidate } from 'html-validate'

const axe = fs.readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const validator = new HtmlValidate({ root: true, extends: ['html-validate:recommended', 'html-validate:a11y'] })
const paper = { A4: [210, 297], Letter: [215.9, 279.4] } // ISO 216; ANSI Y14.1, in mm
const margin = [12, 9] // as the sheet's own @page says
const px = mm => mm / 25.4 * 96
const browser = await puppeteer.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
try {
  for (const file of process.argv.slice(2)) {
    const url = pathToFileURL(path.resolve(file)).href
    const page = await browser.newPage()
    const requests = [], complaints = [], found = [], pages = {}, gate = {}, letters = []
    page.on('request', r => { if (r.url() !== url) requests.push(r.url()) })
    page.on('console', m => complaints.push(m.text()))
    page.on('pageerror', e => complaints.push(String(e)))
    await page.goto(url)
    for (const [name, [width, height]] of Object.entries(paper)) {
      pages[name] = (await PDFDocument.load(await page.pdf({ format: name }))).getPageCount()
      await page.emulateMediaType('print')
      await page.setViewport({ width: Math.floor(px(width - 2 * margin[0])), height: 800 })
      const end = await page.evaluate(() => document.querySelector('.gate')?.getBoundingClientRect().bottom ?? 0)
      letters.push(...await page.evaluate(() => [...document.querySelectorAll('svg')].map(s => parseFloat(getComputedStyle(s.querySelector('text')).fontSize) * s.getBoundingClientRect().width / s.viewBox.baseVal.width)))
      gate[name] = end / px(height - 2 * margin[1])
      await page.emulateMediaType(null)
    }
    const judged = await browser.newPage()
    await judged.setBypassCSP(true) // for axe-core alone
    const wide = []
    for (const width of [1200, 360]) {
      await judged.setViewport({ width, height: 800 })
      await judged.goto(url)
      await judged.evaluate(axe)
      found.push(...await judged.evaluate(async () => (await axe.run(document)).violations.map(v => v.id + ': ' + v.nodes[0].html)))
      wide.push(await judged.evaluate(() => document.documentElement.scrollWidth - innerWidth))
    }
    const report = await validator.validateString(fs.readFileSync(file, 'utf8'), file)
    const html = report.results.flatMap(r => r.messages.map(m => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`))
    console.log(JSON.stringify({ file, pages, gate, letters: Math.min(...letters, 99), requests, complaints, found, html, overflow: Math.max(...wide) }))
    await page.close()
    await judged.close()
  }
} finally {
  await browser.close()
}
