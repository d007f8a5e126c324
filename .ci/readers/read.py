"""Reads calendars with python-icalendar or vobject. See README.md for what it prints."""
import calendar
import datetime
import importlib.metadata
import json
import sys

UTC = datetime.timezone.utc


def say(**fields):
    print(json.dumps(fields))


def seconds(moment):
    return calendar.timegm(moment.astimezone(UTC).timetuple())


def times(start, end):
    """The fields of DTSTART and DTEND, both as the library gives them."""
    if not isinstance(start, datetime.datetime):
        return {"wall": start.strftime("%Y%m%d"), "until": end.strftime("%Y%m%d")}
    return {"wall": start.strftime("%Y%m%dT%H%M%S"), "start": seconds(start), "end": seconds(end)}


# Both libraries go by the zone's name, to whatever data the machine has; we want what they make of the file's own.


def parse_icalendar(name):
    import icalendar
    with open(name, "rb") as f:
        cal = icalendar.Calendar.from_ical(f.read())
    for part in cal.walk():
        if part.errors:
            raise ValueError(f"{name}: python-icalendar finds errors: {part.errors}")
    return cal


def read_icalendar(name):
    cal = parse_icalendar(name)
    zones = {str(z["TZID"]): z.to_tz() for z in cal.walk("VTIMEZONE")}

    def moment(prop):
        if "TZID" not in prop.params:
            return prop.dt
        return zones[prop.params["TZID"]].localize(prop.dt.replace(tzinfo=None))

    for e in cal.walk("VEVENT"):
        start = moment(e["DTSTART"])
        if "DTEND" in e:
            end = moment(e["DTEND"])
        else:
            end = start.astimezone(UTC) + e["DURATION"].dt
        say(calendar=name, uid=str(e["UID"]), summary=str(e["SUMMARY"]), description=str(e["DESCRIPTION"]),
            sequence=int(e["SEQUENCE"]), status=str(e["STATUS"]), **times(start, end))


def parse_vobject(name):
    import vobject
    with open(name, encoding="utf-8", newline="") as f:
        cal = vobject.readOne(f.read())
    cal.validate(raiseException=True)
    return cal


def read_vobject(name):
    cal = parse_vobject(name)
    zones = {z.tzid.value: z.tzinfo for z in cal.contents.get("vtimezone", [])}

    def moment(line):
        if not isinstance(line.value, datetime.datetime):
            return line.value
        return line.value.replace(tzinfo=zones[line.x_vobj_original_tzid_param])

    for e in cal.vevent_list:
        start = moment(e.dtstart)
        if hasattr(e, "dtend"):
            end = moment(e.dtend)
        else:
            end = start.astimezone(UTC) + e.duration.value
        say(calendar=name, uid=e.uid.value, summary=e.summary.value, description=e.description.value,
            sequence=int(e.sequence.value), status=e.status.value, **times(start, end))


def refused(parse, name):
    try:
        parse(name)
    except Exception:  # each library has its own
        return True
    return False


def main(library, verb, *names):
    parse, read = {"icalendar": (parse_icalendar, read_icalendar), "vobject": (parse_vobject, read_vobject)}[library]
    say(reader={"icalendar": "python-icalendar"}.get(library, library), version=importlib.metadata.version(library))
    for name in names:
        if verb == "events":
            read(name)
        elif verb == "judge":
            say(calendar=name, refused=refused(parse, name))
        else:
            sys.exit("usage: read.py icalendar|vobject events|judge FILE...")


main(*sys.argv[1:])
