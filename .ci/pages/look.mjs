// Looks at pages in a real browser and prints one JSON object a line for each file: the printed pages, what was requested, what
// the browser complained of, whether the style took hold, and what axe-core found.
import fs from 'node:fs'
import path from 'node:path'
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import puppeteer from 'puppeteer-core'
import { PDFDocument } from 'pdf-lib'

const axe = fs.readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const browser = await puppeteer.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
try {
  for (const file of process.argv.slice(2)) {
    const url = pathToFileURL(path.resolve(file)).href
    const page = await browser.newPage()
    const requests = [], complaints = []
    page.on('request', r => { if (r.url() !== url) requests.push(r.url()) })
    page.on('console', m => complaints.push(m.text()))
    page.on('pageerror', e => complaints.push(String(e)))
    await page.goto(url)
    const styled = await page.evaluate(() => getComputedStyle(document.body).maxWidth !== 'none')
    const pdf = await PDFDocument.load(await page.pdf({ preferCSSPageSize: true }))
    const [width, height] = [pdf.getPage(0).getWidth(), pdf.getPage(0).getHeight()].map(Math.round)
    const judged = await browser.newPage()
    await judged.setBypassCSP(true) // for axe-core alone
    await judged.goto(url)
    await judged.evaluate(axe)
    const found = await judged.evaluate(async () => (await axe.run(document)).violations.map(v => v.id + ': ' + v.nodes[0].html))
    console.log(JSON.stringify({ file, pages: pdf.getPageCount(), width, height, requests, complaints, styled, found }))
    await page.close()
    await judged.close()
  }
} finally {
  await browser.close()
}
