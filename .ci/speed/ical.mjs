// What ical.js takes to read calendars and to write them again, in microseconds of processor: node ical.mjs LIBRARY FILE...
import { readFileSync } from "node:fs";

const [library, ...names] = process.argv.slice(2);
const { default: ICAL } = await import(library);
const texts = names.map((n) => readFileSync(n, "utf8"));
function timed(verb, work) {
  const from = process.cpuUsage();
  const out = work();
  const u = process.cpuUsage(from);
  console.log(verb, u.user + u.system);
  return out;
}
const read = timed("reading", () => texts.map((t) => new ICAL.Component(ICAL.parse(t))));
timed("writing", () => read.map((c) => c.toString()));
