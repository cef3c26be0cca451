// Words and figures: how the page says a number, a time, an age. Nothing here knows the state of the boat.

export const nm = (miles) => `${miles < 9.95 ? miles.toFixed(1) : Math.round(miles)} nm`;
export const kn = (knots) => `${knots.toFixed(1)} kn`;
export const three = (degrees) => String(((Math.round(degrees) % 360) + 360) % 360).padStart(3, "0");
export const inHundred = (part) => (part > 0 && part < 0.01 ? "less than 1" : String(Math.round(100 * part)));

const two = (number) => String(number).padStart(2, "0");

/** The time of day of UTC ms, hours and minutes as a deck log has it: `2214`. */
export function hhmm(ms) {
  const at = new Date(ms);
  return two(at.getUTCHours()) + two(at.getUTCMinutes());
}

/** The time of day of UTC ms to the second: `22:14:05`. */
export function clock(ms) {
  const at = new Date(ms);
  return [at.getUTCHours(), at.getUTCMinutes(), at.getUTCSeconds()].map(two).join(":");
}

/** The minutes a zone as `+01:00` stands ahead of UT. */
export function zoneMinutes(zone) {
  const minutes = 60 * Number(zone.slice(1, 3)) + Number(zone.slice(4));
  return zone[0] === "-" ? -minutes : minutes;
}

/** How long ago, in the coarsest words that still say something: `4 s ago`, `12 min ago`, `3 h 05 min ago`. */
export function ago(ms) {
  const seconds = Math.max(0, Math.round(ms / 1000));
  if (seconds < 90) return `${seconds} s ago`;
  const minutes = Math.round(seconds / 60);
  return minutes < 90 ? `${minutes} min ago` : `${Math.floor(minutes / 60)} h ${two(minutes % 60)} min ago`;
}

const DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];

/** Digits as they are read back: `two four eight`. */
export const readBack = (digits) => [...digits].map((digit) => DIGITS[Number(digit)]).join(" ");

/** A place to no more digits than an area of this half axis deserves: `46 59.1 N 034 08.1 W`. */
export function place(latitude, longitude, halfAxisNm) {
  const digits = halfAxisNm === null || halfAxisNm >= 1 ? 0 : halfAxisNm >= 0.1 ? 1 : 2;
  return `${minutes(latitude, 2, "NS", digits)} ${minutes(longitude, 3, "EW", digits)}`;
}

function minutes(degrees, figures, sides, digits) {
  const power = 10 ** digits;
  const all = Math.round(Math.abs(degrees) * 60 * power);
  const whole = Math.floor(all / (60 * power));
  const rest = ((all % (60 * power)) / power).toFixed(digits).padStart(digits ? digits + 3 : 2, "0");
  return `${String(whole).padStart(figures, "0")} ${rest} ${sides[degrees < 0 ? 1 : 0]}`;
}

/** Bearing (degrees true) and distance (nm) from one place to another near by: middle-latitude sailing. */
export function toward(from, to) {
  const north = (to.latitude_deg - from.latitude_deg) * 60;
  let apart = to.longitude_deg - from.longitude_deg;
  if (apart > 180) apart -= 360;
  if (apart < -180) apart += 360;
  const east = apart * 60 * Math.cos(((to.latitude_deg + from.latitude_deg) / 2) * (Math.PI / 180));
  return { distance: Math.hypot(north, east), bearing: (Math.atan2(east, north) * 180) / Math.PI };
}

/** An area in words: how long and wide, and a function that says within what form of a size she is. */
export function areaWords(area) {
  const size = `${(2 * area.semi_major_nm).toFixed(1)} by ${(2 * area.semi_minor_nm).toFixed(1)} nm`;
  const along = `along ${three(area.orientation_deg)} T`;
  if (area.shape === "two") return [size, (of) => `at one of ${(area.heaps || []).length || 2} places within ${of}, ${along}`];
  if (area.shape === "ring") return [size, (of) => `on a ring of ${of}`];
  return [size, (of) => `within ${area.shape === "wedge" ? "a bent wedge" : "an area"} of ${of}, ${along}`];
}

/** Write the first letter as a capital, and a stop at the end. */
export function sentence(text) {
  const stop = /[.?!]$/.test(text) ? "" : ".";
  return text.charAt(0).toUpperCase() + text.slice(1) + stop;
}
