// Reads HTML files as somebody else's reader does and prints, a line each, what html-validate finds in their bytes.
import fs from 'node:fs'
import { HtmlValidate } from 'html-validate'

const validator = new HtmlValidate({ root: true, extends: ['html-validate:recommended', 'html-validate:a11y'] })
for (const file of process.argv.slice(2)) {
  const report = await validator.validateString(fs.readFileSync(file, 'utf8'), file)
  for (const m of report.results.flatMap(r => r.messages)) console.log(`${m.line}:${m.column} ${m.ruleId}: ${m.message}`)
}
