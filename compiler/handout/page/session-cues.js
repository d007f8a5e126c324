// Cues that can be switched off: a tone for each kind of line, a buzz, and a screen that stays on.
let audio = null, planned = null, plannedFor = null, awake = null
const pitches = { in: 'in', pause: 'pause', out: 'out', relax: 'rest', rest: 'rest', sit: 'rest', 'change-hand': 'pause', squeeze: 'work', squat: 'work', walk: 'work', exercise: 'work', breathe: 'in', end: 'end' }
const wants = { sound: true, vibration: true }
for (const name of Object.keys(wants)) {
  $(name).addEventListener('change', e => { wants[name] = e.target.checked })
  actions[name] = () => {
    wants[name] = !wants[name]
    $(`${name}-now`).setAttribute('aria-pressed', wants[name])
    if (!wants[name]) cueStop()
  }
}
if (!navigator.vibrate) {
  $('vibration').closest('.choice').hidden = true
  $('vibration-now').hidden = true
}

function cuesBegin() {
  for (const name of Object.keys(wants)) $(`${name}-now`).setAttribute('aria-pressed', wants[name])
  try {
    audio ??= new AudioContext()
    audio.resume()
  } catch { audio = null }
}

// tone sounds after a delay in seconds, with soft edges.
function tone(what, delay) {
  if (!audio || !wants.sound || audio.state === 'closed') return null
  const o = audio.createOscillator(), g = audio.createGain(), at = audio.currentTime + Math.max(delay, 0)
  o.frequency.value = data.tones[pitches[what]] ?? data.tones.work
  g.gain.setValueAtTime(0, at)
  g.gain.linearRampToValueAtTime(0.3, at + 0.02)
  g.gain.setValueAtTime(0.3, at + 0.4)
  g.gain.linearRampToValueAtTime(0, at + 0.45)
  o.connect(g).connect(audio.destination)
  o.start(at)
  o.stop(at + 0.5)
  return o
}
function cue(what) {
  tone(what, 0)
  if (wants.vibration) navigator.vibrate?.(what === 'end' ? [200, 100, 200] : 200)
}
function cueStop() {
  try { planned?.stop() } catch { /* it has ended */ }
  planned = plannedFor = null
}
// The tone of the next line is handed over ahead, so that a throttled tab sounds it in time.
function cueNext(line, p) {
  cueStop()
  if (!line || run.waiting !== null) return
  planned = tone(line.what, (line.at - p) / 1000)
  plannedFor = planned && line
}
function cueLine(line, next, p) {
  const late = p - line.at
  if (plannedFor !== line && late < 500) tone(line.what, 0)
  if (wants.vibration && late < 500) navigator.vibrate?.(hold(line) ? [200, 100, 200] : 200)
  planned = plannedFor = null // it sounds already
  cueNext(next, p)
}

async function stayAwake() {
  const say = on => { $('screen').textContent = on ? text.ScreenOn : text.ScreenOff }
  try {
    awake = await navigator.wakeLock.request('screen')
    awake.addEventListener('release', () => say(false))
    say(true)
    if (!run) letSleep()
  } catch { say(false) }
}
function letSleep() {
  awake?.release().catch(() => {})
  awake = null
}
