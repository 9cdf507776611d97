// Reads calendars (file names as arguments) with ical.js and the VTIMEZONE that each holds; prints one JSON list.
// For each file: its events, and the UTC offset in minutes of every wall-clock time given on standard input.
import { readFileSync } from "node:fs";
import ICAL from "ical.js";

const walls = JSON.parse(readFileSync(0, "utf8"));

function read(file) {
  const calendar = new ICAL.Component(ICAL.parse(readFileSync(file, "utf8")));
  const zone = new ICAL.Timezone(calendar.getFirstSubcomponent("vtimezone"));
  const offset = (wall) => zone.utcOffset(ICAL.Time.fromDateTimeString(wall)) / 60;
  const events = calendar.getAllSubcomponents("vevent").map((component) => {
    const event = new ICAL.Event(component);
    const instant = (time) => new Date(time.toUnixTime() * 1000).toISOString();
    return {
      uid: event.uid,
      sequence: event.sequence,
      status: component.getFirstPropertyValue("status"),
      stamp: component.getFirstPropertyValue("dtstamp").toUnixTime(),
      alarms: component.getAllSubcomponents("valarm").length,
      summary: event.summary,
      description: event.description,
      start: instant(event.startDate),
      end: instant(event.endDate),
    };
  });
  return { file, events, offsets: walls.map(offset) };
}

console.log(JSON.stringify(process.argv.slice(2).map(read)));
