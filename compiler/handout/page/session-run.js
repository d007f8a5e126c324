// The session as a timetable. Where it stands is worked out from the monotonic clock each time that anything is shown, so a tab
// that was throttled or a screen that was locked is at the right line when it wakes.
let run = null
const hold = line => line.what === 'squeeze' || line.what === 'squat'
const free = line => line.what === 'rest' || line.what === 'change-hand' || line.what === 'sit'

// timetable writes the plan's steps as lines, a breath as its phases. At and ms are milliseconds.
function timetable(steps, endSeconds) {
  const out = []
  let at = 0
  const add = (what, seconds, more) => {
    const ms = Math.round(seconds * 1000)
    if (ms > 0) out.push({ what, at, ms, ...more })
    at += Math.max(ms, 0)
  }
  steps.forEach((step, i) => {
    const p = step.pattern
    if (step.kind !== 'breathe' || !p) return add(step.kind, step.seconds, { step, i })
    for (let n = 1; n <= step.count; n++) {
      for (const [what, seconds] of [['in', p.inhaleSeconds], ['pause', p.pauseSeconds], ['out', p.exhaleSeconds], ['relax', p.restSeconds]]) add(what, seconds ?? 0, { step, i, n })
    }
  })
  if (endSeconds) add('sit', endSeconds, { step: { kind: 'sit' }, i: steps.length })
  return out
}

function span(ms) {
  const s = Math.max(0, Math.ceil(ms / 1000 - 1e-6))
  return s < 60 ? fill(text.SecondsLong, { s }) : fill(text.MinutesLong, { m: Math.floor(s / 60), s: s % 60 })
}
function label(line) {
  const s = line.step
  return { squeeze: s.hand === 'both' ? text.SqueezeBoth : text.Squeeze, squat: text.Squat, rest: text.Relax, 'change-hand': text.ChangeHand,
    sit: text.Sit, in: text.BreatheIn, pause: text.Pause, out: text.BreatheOut, relax: text.Relax }[line.what] ?? data.labels[[s.kind, s.name ?? '', s.count ?? 0].join('/')]
}
function detail(line) {
  const s = line.step, hand = { right: data.right, left: data.left }[s.hand]
  const parts = []
  if (hand) parts.push(fill(text.Hand, { hand }))
  // A trainer loads the breath in alone.
  if (s.target !== undefined && s.unit !== 'effort' && !['pause', 'out', 'relax'].includes(line.what)) parts.push(s.unit === 'deg' ? fill(text.Degrees, { n: number(s.target) }) : `${number(s.target)} ${s.unit}`)
  if (line.n) parts.push(fill(text.Breath, { n: line.n, all: s.count }))
  return parts.join(', ')
}
const brief = line => `${label(line)}${hold(line) || line.what === 'change-hand' ? [detail(line)].filter(Boolean).map(x => ', ' + x).join('') : ''}, ${long(line.ms)}`
const long = ms => ms % 1000 ? fill(text.SecondsLong, { s: number(ms / 1000) }) : span(ms)

function set() {
  const way = wayOf(chosen)
  if (locked(way) || way.shut || kept().rows.some(r => r.uid === chosen.uid)) return home()
  $('set-title').textContent = way.title
  lines($('set-lines'), [...way.set, way.work])
  lines($('table'), timetable(way.steps, chosen.end ? data.sitting.endSeconds : 0).map(brief))
  show('set')
}

// time is the monotonic clock and what it slept through: on some systems it stands still while the device sleeps.
const time = () => performance.now() + (run?.slept ?? 0)
function wake() {
  const m = performance.now(), w = Date.now(), slept = (w - run.seen.w) - (m - run.seen.m)
  if (slept > 1500 && run.waiting === null) run.slept += slept
  run.seen = { m, w }
}
const position = () => (run.waiting ?? time()) - run.from

actions.begin = () => {
  const way = wayOf(chosen)
  if (!isToday(chosen) || wentBack() || locked(way) || kept().rows.some(r => r.uid === chosen.uid)) return home()
  if (!fresh()) return gate({ ...chosen, gate: true }) // the page lay open for longer than a sitting
  if (cutOff()) return // it, or another one, runs in another tab
  const all = timetable(way.steps, chosen.end ? data.sitting.endSeconds : 0), at = wall()
  run = { lines: all, end: all.at(-1).at + all.at(-1).ms, line: null, waiting: null, slept: 0, seen: { m: performance.now(), w: Date.now() }, early: null, at }
  run.from = time() + data.leadSeconds * 1000
  keep({ begun: { uid: chosen.uid, at, title: way.title, reading: readingOf(chosen) } })
  $('run-title').textContent = way.title
  cuesBegin()
  show('run')
  stayAwake()
  tick()
}

function tick() {
  if (!run) return
  clearTimeout(run.timer)
  wake()
  const p = position()
  if (p >= run.end) return finish('completed')
  let i = -1
  while (i + 1 < run.lines.length && run.lines[i + 1].at <= p) i++
  if (i !== run.line) enter(i, p)
  const line = run.lines[i], left = (line ? line.at + line.ms : 0) - p
  $('left').textContent = span(left)
  if (run.waiting === null) run.timer = setTimeout(tick, Math.ceil(Math.min(left, left % 1000 || 1000)))
}

function enter(i, p) {
  run.line = i
  const line = run.lines[i], then = run.lines.slice(i + 1, i + 3)
  $('line').textContent = line ? label(line) : text.Ready
  $('load').textContent = line ? detail(line) : ''
  $('then').hidden = !then.length
  lines($('next'), then.length ? then.map(brief) : [text.LastLine])
  $('of').textContent = fill(text.Of, { n: Math.max(i + 1, 1), all: run.lines.length })
  $('say').textContent = line ? [label(line), detail(line), long(line.ms)].filter(Boolean).join(', ') : `${text.Ready} ${span(-p)}`
  buttons()
  if (line) cueLine(line, run.lines[i + 1], p)
  else cueNext(run.lines[0], p)
}
function buttons() {
  const line = run.lines[run.line]
  $('wait').textContent = run.waiting !== null ? text.GoOn : line?.what === 'squeeze' ? text.LetGo : line?.what === 'squat' ? text.ComeUp : text.Wait
  $('back').disabled = !(line && free(line))
}

// Waiting stops the clock in rests and breathing. A squeeze or a squat that is left is over, and what follows it follows.
actions.wait = () => {
  wake()
  const line = run.lines[run.line], p = position()
  if (run.waiting !== null) {
    run.from += time() - run.waiting
    run.waiting = null
    cueNext(run.lines[run.line + 1], position())
  } else if (line && hold(line)) {
    const held = letGo(line, p)
    if (chosen.first && !run.lines.slice(0, run.line).some(hold) && held < data.sitting.firstHoldSeconds * 1000) return finish('stopped', text.FirstStop)
    run.from -= line.at + line.ms - p
  } else {
    run.waiting = time()
    cueStop()
    $('say').textContent = text.Waiting
  }
  buttons()
  tick()
}
function letGo(line, p) {
  const held = p - line.at
  run.early ??= { hand: line.step.hand === 'both' ? '' : line.step.hand ?? '', held: Math.floor(held / 100) / 10 }
  cueStop()
  return held
}

// Back goes over rests alone: what was squeezed or squatted is never repeated.
actions['line-back'] = () => {
  const p = position(), line = run.lines[run.line], before = run.lines[run.line - 1]
  if (!line || !free(line)) return
  const to = p - line.at > 2000 || !before || !free(before) ? line.at : before.at
  run.from += p - to
  cueStop()
  run.line = null
  tick()
}
actions.stop = () => {
  const line = run.lines[run.line]
  if (line && hold(line)) letGo(line, position())
  finish('stopped')
}

function finish(outcome, say) {
  clearTimeout(run.timer)
  cueStop()
  if (outcome === 'completed') cue('end')
  const { early, at } = run
  run = null
  letSleep()
  end(outcome, { early, at, say: [say, early && !say ? text.EndedEarly : ''].filter(Boolean).join(' '), sitting: outcome === 'stopped' })
}

// The thin line is only drawn: it has no part in the time.
const calm = matchMedia('(prefers-reduced-motion: reduce)')
function draw() {
  const line = run?.lines[run.line]
  if (line) {
    let share = 1 - (position() - line.at) / line.ms
    if (calm.matches) share = Math.ceil(share * line.ms / 1000) * 1000 / line.ms
    $('rule').style.transform = `scaleX(${Math.min(1, Math.max(0, share))})`
  } else $('rule').style.transform = 'scaleX(1)'
  requestAnimationFrame(draw)
}
requestAnimationFrame(draw)
document.addEventListener('visibilitychange', () => {
  if (document.hidden) return
  if (run) { stayAwake(); tick() } else if (!$('today').hidden) home()
})
