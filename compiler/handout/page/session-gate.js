// The gate: danger signs, then what has changed, then the reading. A sitting has one gate, which its later sessions share.
let again = false // these readings are the second ones, whose mean counts
let sitting = null // how long there is still to sit

const isToday = session => session.start.slice(0, 10) === today()
function fresh() {
  const passed = kept().gate
  return passed?.day === today() && Date.now() - passed.at < data.sitting.sameMinutes * 60000 && Date.now() >= passed.at
}

function gate(session) {
  if (!isToday(session) || wentBack()) return home() // the page lay open over midnight, or its clock was put back
  chosen = session
  again = kept().again?.day === today()
  if (!session.gate && fresh()) return set()
  show('signs')
}

actions['signs-no'] = () => show('changed')
actions['signs-yes'] = () => {
  lock(true)
  write({ outcome: 'not-started', symptoms: 'danger sign' })
  halt(fill(text.StopSigns, { number: data.call }))
  $('which').hidden = false
}
actions.back = () => show('signs')
actions['changed-no'] = sit
actions['changed-yes'] = () => {
  lock(false)
  if (!wayOf(chosen).effort) return halt(text.StopChanged, sit)
  write({ outcome: 'not-started' })
  halt(text.StopChanged)
}

function sit() {
  cuesBegin()
  const until = performance.now() + data.sitting.sitSeconds * 1000
  $('sit-title').textContent = again ? text.AgainTitle : text.SitTitle
  $('sit-say').textContent = again ? fill(text.AgainSay, { n: data.sitting.readings }) : text.SitSay
  $('sit-on').textContent = text.SatAlready
  $('sit-on').hidden = again // the rest before the second readings is never cut short
  clearTimeout(sitting)
  const left = () => {
    const ms = until - performance.now()
    if (ms <= 0) {
      $('sit-left').textContent = ''
      $('sit-on').textContent = text.GoOn
      $('sit-on').hidden = false
      $('say').textContent = text.ReadTitle
      cue('end')
      return
    }
    $('sit-left').textContent = fill(text.Left, { time: span(ms) })
    sitting = setTimeout(left, ms % 1000 || 1000)
  }
  show('sit')
  left()
}
actions['sit-on'] = () => {
  clearTimeout(sitting)
  $('reading').reset()
  $('wrong').replaceChildren()
  for (const field of $('reading').querySelectorAll('input')) field.removeAttribute('aria-invalid')
  $('read-say').textContent = fill(again ? text.ReadAgain : text.ReadSay, { n: data.sitting.readings })
  show('read')
}

// readings reads the form; a slip is said, and the field marked.
function readings() {
  const b = data.bounds, wrong = new Map(), out = []
  const read = (name, n, low, high, complaint) => {
    const field = $(`${name}-${n}`), v = /^\s*\d+\s*$/.test(field.value) ? Number(field.value) : NaN, bad = !(v >= low && v <= high)
    field.toggleAttribute('aria-invalid', false)
    if (bad) wrong.set(field, fill(complaint, { low, high }))
    return v
  }
  for (let n = 1; n <= data.sitting.readings; n++) {
    const upper = read('upper', n, b.lowest, b.highest, text.BadUpper), lower = read('lower', n, b.lowest, b.highest, text.BadLower)
    const pulse = read('pulse', n, b.lowestPulse, b.highestPulse, text.BadPulse)
    if (upper <= lower) wrong.set($(`lower-${n}`), text.BadOrder)
    else if (upper - lower < b.leastApart) wrong.set($(`lower-${n}`), fill(text.BadApart, { n: b.leastApart }))
    out.push({ upper, lower, pulse })
  }
  const yes = {}
  for (const name of ['light', 'uneven']) {
    const choice = document.querySelector(`input[name=${name}]:checked`)
    yes[name] = choice?.value === 'yes'
    if (!choice) wrong.set($(`${name}-no`), text.BadChoice)
  }
  for (const field of wrong.keys()) field.setAttribute('aria-invalid', 'true')
  $('wrong').replaceChildren(...[...new Set(wrong.values())].map(w => element('p', w)))
  wrong.keys().next().value?.focus()
  return wrong.size ? null : { out, ...yes }
}

const mean = (all, name) => all.reduce((sum, r) => sum + r[name], 0) / all.length

// judge says what follows from readings and answers: '' lets train. The numbers are the plan's; one that the plan has not draws no
// line. It is never less urgent than what the rules about a log make of the same, and an answer takes nothing from a reading:
// compiler/gate_page_test.go compares them.
function judge({ out, light, uneven }, second) {
  const g = data.gate, is = limit => limit > 0
  const over = (r, upper, lower) => is(upper) && r.upper >= upper || is(lower) && r.lower >= lower
  if (g.maternity && out.some(r => over(r, g.emergencySystolic, g.emergencyDiastolic))) return 'emergency'
  const low = is(g.lowSystolic), m = { upper: mean(out, 'upper'), lower: mean(out, 'lower'), pulse: mean(out, 'pulse') }
  const slow = r => low && r.upper < g.lowSystolic, fast = r => low && is(g.pulseCoach) && r.pulse > g.pulseCoach
  const high = r => over(r, g.systolic, g.diastolic), effort = r => over(r, g.effortSystolic, g.effortDiastolic)
  if ((light || uneven) && high(m)) return 'emergency'
  if (g.maternity && out.some(high)) return 'maternity'
  if (light) return 'clinic'
  if (!g.maternity && !second && out.some(r => high(r) || effort(r) || slow(r) || fast(r))) return 'again'
  if (!g.maternity && high(m) || low && (is(g.pulseClinic) && m.pulse > g.pulseClinic || is(g.lowClinic) && m.upper < g.lowClinic)) return 'clinic'
  if (slow(m) || fast(m) || uneven) return 'coach'
  return !g.maternity && effort(m) ? 'effort' : ''
}

$('reading').addEventListener('submit', e => {
  e.preventDefault()
  const all = readings()
  if (!all) return
  all.uneven ||= again && !!kept().again?.uneven // the second readings ask anew, and take nothing back
  const verdict = judge(all, again), numbers = { systolic: Math.floor(mean(all.out, 'upper')), diastolic: Math.floor(mean(all.out, 'lower')) }
  if (verdict === 'again') {
    again = true
    keep({ again: { day: today(), uneven: all.uneven } }) // going away and coming back asks for the second readings too
    return sit()
  }
  again = false
  keep({ again: null })
  if (!verdict || verdict === 'effort') keep({ gate: { day: today(), at: Date.now(), ...numbers } })
  if (!verdict) return set()
  lock(verdict !== 'effort')
  const say = {
    emergency: fill(text.StopEmergency, { number: data.call }),
    maternity: data.maternityUnit ? fill(text.StopMaternityAt, { number: data.maternityUnit }) : text.StopMaternity,
    clinic: data.clinic ? fill(text.StopClinicAt, { number: data.clinic }) : text.StopClinic,
    coach: text.StopCoach,
    effort: text.StopEffort,
  }[verdict]
  if (verdict === 'effort' && !wayOf(chosen).effort) return halt(say, set)
  write({ outcome: 'not-started', ...numbers, symptoms: [all.light && 'dizzy', all.uneven && 'palpitations'].filter(Boolean).join('; ') })
  halt(say)
})

// halt says that there is no training and what to do. Slow breathing may go on from where it is allowed.
function halt(say, on, title = text.StopTitle) {
  $('halt-title').textContent = title
  $('halt-do').textContent = say
  $('halt-coach').textContent = data.coach ? fill(text.CallCoach, { number: data.coach }) : ''
  $('which').hidden = true
  $('breathe').hidden = !on
  actions.breathe = on
  show('halt')
}
$('which').addEventListener('submit', e => {
  e.preventDefault()
  const ids = [...document.querySelectorAll('input[name=which]:checked')].map(x => x.value)
  if (ids.length && chosen) write({ outcome: 'not-started', symptoms: words(ids) })
  home()
})
