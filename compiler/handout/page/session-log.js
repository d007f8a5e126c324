// The end of a session, and the log: a row a session, in the columns that a session log has.
const columns = ['at', 'uid', 'outcome', 'hand', 'heldSeconds', 'systolic', 'diastolic', 'symptoms', 'told']
const words = ids => ids.map(id => id.replaceAll('-', ' ')).join('; ')
let ending = {}

// readingOf is the reading of today's gate where it belongs to a session.
function readingOf(session) {
  const passed = kept().gate
  return session.gate && passed?.day === today() ? { systolic: passed.systolic, diastolic: passed.diastolic } : {}
}

function write(row) {
  const { rows, begun } = kept(), mine = begun?.uid === chosen.uid
  const reading = mine && begun.reading || readingOf(chosen)
  keep({ begun: mine ? null : begun, rows: [...rows.filter(r => r.uid !== chosen.uid), { at: wall(), uid: chosen.uid, title: wayOf(chosen).title, ...(row.outcome === 'not-started' ? {} : reading), ...row }] })
}

function end(outcome, more = {}) {
  ending = more
  $('outcome').reset()
  $(`out-${outcome}`).checked = true
  // What began cannot become what was not started, and what did not begin cannot have been completed.
  const begun = outcome !== 'not-started'
  $('end-back').hidden = begun
  for (const [id, on] of [['out-completed', begun && outcome === 'completed'], ['out-stopped', begun], ['out-not-started', !begun]]) $(id).closest('.choice').hidden = !on
  $('end-title').textContent = wayOf(chosen).title
  $('end-say').textContent = [more.say, more.sitting ? $('end-say').dataset.sit : ''].filter(Boolean).join(' ')
  show('end')
}

$('outcome').addEventListener('submit', e => {
  e.preventDefault()
  const felt = [...document.querySelectorAll('input[name=felt]:checked')].map(x => x.value)
  const other = $('other').value.replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ').replace(/^[=+\-@\s]+/, '').trim().slice(0, 200)
  const symptoms = [words(felt), other].filter(Boolean).join('; ')
  const outcome = document.querySelector('input[name=outcome]:checked').value
  const row = { outcome, symptoms, ...(ending.at ? { at: ending.at } : {}) }
  if (ending.early) Object.assign(row, { hand: ending.early.hand, heldSeconds: ending.early.held })
  if (outcome !== 'not-started' && !ending.cut && kept().gate) keep({ gate: { ...kept().gate, at: Date.now() } }) // the sitting goes on
  write(row)
  if (!symptoms) return home()
  lock(true)
  if (data.symptoms.some(s => s.grave && felt.includes(s.id))) return halt(fill(text.StopSigns, { number: data.call }), null, text.Locked)
  halt([other && fill(text.OtherSigns, { number: data.call }), text.TellCoach].filter(Boolean).join(' '), null, text.Locked)
})

function csv() {
  const cell = v => /[",\n\r]/.test(v) ? `"${v.replaceAll('"', '""')}"` : v
  return [columns, ...kept().rows.map(r => columns.map(c => cell(String(r[c] ?? ''))))].map(row => row.join(',') + '\r\n').join('')
}
actions.log = () => {
  const { rows } = kept(), named = { completed: text.Completed, stopped: text.Stopped, 'not-started': text.NotStarted }
  lines($('rows'), rows.length ? rows.map(r => [`${r.at.replace('T', ' ')}: ${r.title}, ${named[r.outcome]}`, r.systolic && `${r.systolic}/${r.diastolic}`, r.symptoms].filter(Boolean).join('; ')) : [text.LogEmpty])
  $('csv').value = csv()
  $('erase').textContent = text.Erase
  show('log')
}
actions.save = () => {
  const url = URL.createObjectURL(new Blob([csv()], { type: 'text/csv' }))
  const a = element('a', '', { href: url, download: 'sessions.csv' })
  a.click()
  setTimeout(() => URL.revokeObjectURL(url), 60000)
  $('say').textContent = text.Saved
}
// Erasing takes two presses, and leaves the lock of today.
actions.erase = () => {
  if ($('erase').textContent !== text.EraseSure) {
    $('erase').textContent = text.EraseSure
    return
  }
  const day = today()
  keep({ rows: kept().rows.filter(r => data.sessions.some(s => s.uid === r.uid && s.start.startsWith(day))) })
  actions.log()
}

keep({})
if (!cutOff()) home()
