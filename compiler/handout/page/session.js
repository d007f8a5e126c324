// What the page is made of: the plan's data, what the device keeps, and which section is seen.
const data = JSON.parse(document.getElementById('data').textContent)
const text = data.text
const $ = id => document.getElementById(id)
const fill = (form, values) => form.replace(/\{(\w+)\}/g, (hole, name) => values[name] ?? hole)
const number = n => String(n).replace('.', data.decimal)
const sections = [...document.querySelectorAll('main > section')]
const actions = {}

// The client's wall clock: the plan's zone, or that of the move whose day has come there, wherever the device thinks it is.
function clockIn(timeZone) {
  const form = { timeZone, hourCycle: 'h23', year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit' }
  let parts
  try {
    parts = new Intl.DateTimeFormat('en-CA', form).formatToParts(new Date())
  } catch {
    parts = new Intl.DateTimeFormat('en-CA', { ...form, timeZone: undefined }).formatToParts(new Date())
  }
  const p = Object.fromEntries(parts.map(x => [x.type, x.value]))
  return `${p.year}-${p.month}-${p.day}T${p.hour}:${p.minute}`
}
const moved = () => data.moves.filter(m => clockIn(m.zone).slice(0, 10) >= m.from).at(-1)
const wall = () => clockIn(moved()?.zone ?? data.zone)
const today = () => wall().slice(0, 10)

// The emergency number of the day is the only one that the page shows and says.
const usual = data.call
function answered() {
  data.call = moved()?.emergency ?? usual
  for (const line of document.querySelectorAll('.help')) line.hidden = (line.dataset.call ?? usual) !== data.call
}
answered()

// What is kept lies in localStorage, read anew each time since another tab may have written. Where the device keeps nothing it
// is kept in this page alone, and the page says so.
let memory = null
function kept() {
  let found = memory
  if (!found) {
    try { found = JSON.parse(localStorage.getItem(data.key)) } catch { /* unreadable is nothing */ }
  }
  const all = { rows: [], lock: null, gate: null, again: null, begun: null, ...found }
  return { ...all, seen: all.seen ?? [all.lock?.day ?? '', ...all.rows.map(r => r.at.slice(0, 10))].sort().at(-1) }
}
function keep(change) {
  const all = { ...kept(), ...change }
  if (!change.seen && today() > all.seen) all.seen = today()
  const written = JSON.stringify(all)
  try {
    localStorage.setItem(data.key, written)
    if (localStorage.getItem(data.key) !== written) throw new Error('not kept')
    memory = null
  } catch {
    memory = all
    $('lost').hidden = false
    $('log-kept').hidden = true
  }
}

// lock closes today: everything, or everything but slow breathing. A lock of a day to come holds too: the clock was put back.
function lock(all) {
  const was = kept().lock
  keep({ lock: { day: today(), all: all || was?.day >= today() && was.all } })
}
function locked(way) {
  const is = kept().lock
  return is?.day >= today() && (is.all || way.effort)
}

// The clock went back where a later day was seen. Nothing is begun then, or a day that is over would come twice. Somebody who says
// that the clock is right now loses the rest of this day, and gains none.
const wentBack = () => kept().seen > today()
const dayName = day => new Intl.DateTimeFormat(data.tag === 'en' ? 'en-GB' : data.tag, { dateStyle: 'full', timeZone: 'UTC' }).format(new Date(`${day}T12:00Z`))
function clock() {
  const back = wentBack(), days = { day: dayName(today()), later: back ? dayName(kept().seen) : '' }
  $('clock').hidden = !back
  $('clock-say').textContent = back ? fill(text.ClockBack, days) : ''
  $('clock-right').textContent = back ? fill(text.ClockRight, days) : ''
  return back
}
actions['clock-right'] = () => {
  keep({ seen: today(), lock: { day: today(), all: true } })
  home()
}

function show(id) {
  for (const s of sections) s.hidden = s.id !== id
  answered() // the day of a move may have come
  scrollTo(0, 0)
  $('say').textContent = ''
  document.querySelector(`#${id} h1`).focus()
}
function element(tag, content, more) {
  const e = Object.assign(document.createElement(tag), more)
  if (content) e.textContent = content
  return e
}
const lines = (list, all) => list.replaceChildren(...all.map(x => element('li', x)))

// chosen is the session that the client is in: from the list to the end.
let chosen = null
const wayOf = session => data.ways[session.way] ?? session.gone
// A session that was begun and never ended was cut off: it is asked about before anything else, and not taken up again. It may be
// one of an older sheet's page, which this page has no session for.
function cutOff() {
  const { begun } = kept()
  if (!begun) return false
  chosen = data.sessions.find(s => s.uid === begun.uid) ?? { uid: begun.uid, start: begun.at, gone: { title: begun.title ?? text.Title, effort: true, steps: [] } }
  end('stopped', { at: begun.at, say: text.OpenRun, sitting: true, cut: true })
  return true
}

function home() {
  chosen = null
  keep({})
  const back = clock(), day = today(), mine = data.sessions.filter(s => s.start.slice(0, 10) === day && !back)
  const next = data.sessions.find(s => s.start.slice(0, 10) > day && wayOf(s).steps.length)
  const later = next ? fill(text.Next, { day: next.day, time: next.start.slice(11) }) : text.NoNext
  $('day').textContent = back ? '' : data.over ? text.Over : mine.length ? `${fill(text.Today, { day: mine[0].day })}${mine.every(s => !wayOf(s).steps.length) ? `. ${later}` : ''}` : `${text.NoneToday} ${later}`
  lines($('others'), data.others.filter(o => o.date === day && !back).map(o => o.text))
  const { rows } = kept()
  $('list').replaceChildren(...mine.map(s => {
    const way = wayOf(s), item = element('li'), row = rows.find(r => r.uid === s.uid)
    item.append(element('p', `${s.start.slice(11)} ${way.title}`, { className: 'lead strong' }))
    const say = x => item.append(element('p', x))
    if (row) say(`${{ completed: text.Completed, stopped: text.Stopped, 'not-started': text.NotStarted }[row.outcome]}. ${text.DoneAlready}`)
    else if (way.shut) say(way.shut)
    else if (locked(way)) say(text.Locked)
    else {
      if (s.supervised) say(s.supervised)
      const buttons = element('p', '', { className: 'row' })
      const start = element('button', text.Start, { type: 'button' }), not = element('button', text.NotNow, { type: 'button', className: 'plain' })
      start.setAttribute('aria-label', `${text.Start}: ${way.title}`)
      not.setAttribute('aria-label', `${text.NotNow}: ${way.title}`)
      start.onclick = () => gate(s)
      not.onclick = () => { chosen = s; end('not-started') }
      buttons.append(start, not)
      item.append(buttons)
    }
    return item
  }))
  show('today')
}
actions.home = home

document.addEventListener('click', e => {
  const action = e.target.closest('[data-do]')?.dataset.do
  if (action) actions[action]()
})
