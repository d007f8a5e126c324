// Reads calendars with ical.js. See README.md for what it prints.
import { readFileSync } from "node:fs";
import ICAL from "ical.js";

const [verb, ...rest] = process.argv.slice(2);
const say = (x) => process.stdout.write(JSON.stringify(x) + "\n");

function parse(name) {
  const c = new ICAL.Component(ICAL.parse(readFileSync(name, "utf8"))); // strict is the default
  if (c.name !== "vcalendar") throw new Error(`${name}: no calendar`);
  return c;
}

function events(name) {
  const c = parse(name);
  ICAL.TimezoneService.reset();
  for (const z of c.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(z);
  for (const v of c.getAllSubcomponents("vevent")) {
    const e = new ICAL.Event(v);
    const out = {
      calendar: name, uid: e.uid, summary: e.summary, description: e.description, sequence: e.sequence,
      status: v.getFirstPropertyValue("status"), wall: e.startDate.toICALString(),
    };
    if (e.startDate.isDate) {
      out.until = e.endDate.toICALString();
    } else {
      out.start = e.startDate.toUnixTime();
      out.end = e.endDate.toUnixTime();
    }
    say(out);
  }
}

function values(c) {
  for (const p of c.getAllProperties()) p.getValues();
  for (const in_ of c.getAllSubcomponents()) values(in_);
}

function refused(name) {
  try {
    values(parse(name));
    return false;
  } catch {
    return true;
  }
}

// The file's name with .steps is a list of wall times: from, to and step, in seconds, upwards.
function zone(name) {
  const z = new ICAL.Timezone({ component: parse(name).getFirstSubcomponent("vtimezone") });
  const runs = [];
  let last;
  const t = new ICAL.Time({}, z);
  for (const line of readFileSync(name + ".steps", "utf8").trim().split("\n")) {
    const [from, to, step] = line.split(" ").map(Number);
    for (let wall = from; wall <= to; wall += step) {
      const d = new Date(wall * 1000);
      t.resetTo(d.getUTCFullYear(), d.getUTCMonth() + 1, d.getUTCDate(), d.getUTCHours(), d.getUTCMinutes(), 0, z);
      const offset = wall - t.toUnixTime();
      if (offset !== last) runs.push([wall, offset]);
      last = offset;
    }
  }
  say({ zone: z.tzid, runs });
}

const about = new URL("node_modules/ical.js/package.json", import.meta.url);
say({ reader: "ical.js", version: JSON.parse(readFileSync(about, "utf8")).version });
if (verb === "events") {
  for (const name of rest) events(name);
} else if (verb === "judge") {
  for (const name of rest) say({ calendar: name, refused: refused(name) });
} else if (verb === "zones") {
  for (const name of rest) zone(name);
} else {
  throw new Error("usage: events|judge|zones FILE...");
}
