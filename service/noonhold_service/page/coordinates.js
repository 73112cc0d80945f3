// Coordinates as people paste them: decimal or with minutes and seconds, with letters or signs,
// from a map's address or a geo: link.

const NUMBER = String.raw`[+\-−]?\d{1,3}(?:[.,]\d+)?`;
const PAIR = new RegExp(String.raw`(${NUMBER})\s*°?\s*[,;/ ]\s*(${NUMBER})\s*°?(?![\d.])`);
const IN_ADDRESS = /(?:@|[?&#](?:q|ll|query|center|mlat)=|geo:|#map=\d+\/)(-?\d+\.?\d*)(?:,|\/|%2C|&mlon=)\s*(-?\d+\.?\d*)/i;
const ANGLE = String.raw`([+\-−]?\d{1,3}(?:\.\d+)?)\s*(?:°|º|d|deg)?\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:'|′|’|m|min)?\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:"|″|”|''|s|sec)?)?)?`;
const BEFORE = new RegExp(String.raw`([NSEWO])\s*${ANGLE}`, "gi");
const AFTER = new RegExp(String.raw`${ANGLE}\s*([NSEWO])`, "gi");

const plain = (text) => Number(text.replace("−", "-").replace(",", "."));

function sound(latitude, longitude) {
  const fits = Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180;
  const round = (value) => Math.round(value * 1e5) / 1e5;
  return fits ? { latitude: round(latitude), longitude: round(longitude) } : null;
}

// Two angles with the letters of their directions, in either order; German O is east.
function lettered(text) {
  const found = {};
  const first = /^\s*[NSEWO]/i.test(text);
  for (const [, ...parts] of text.matchAll(first ? BEFORE : AFTER)) {
    const letter = (first ? parts.shift() : parts.pop()).toUpperCase().replace("O", "E");
    const [degrees, minutes = "0", seconds = "0"] = parts;
    if (plain(minutes) >= 60 || plain(seconds) >= 60) return null;
    const size = Math.abs(plain(degrees)) + plain(minutes) / 60 + plain(seconds) / 3600;
    const axis = "NS".includes(letter) ? "latitude" : "longitude";
    if (axis in found) return null;
    found[axis] = "SW".includes(letter) ? -size : size;
  }
  return "latitude" in found && "longitude" in found ? sound(found.latitude, found.longitude) : null;
}

// { latitude, longitude }, or null where the text has no coordinates.
export function coordinatesIn(text) {
  const address = IN_ADDRESS.exec(text);
  if (address) return sound(Number(address[1]), Number(address[2]));
  // Names of directions in words count as their letters.
  const short = text
    .replace(/\b(north|nord|norte)\b/gi, "N").replace(/\b(south|süd|sur)\b/gi, "S")
    .replace(/\b(east|ost|este)\b/gi, "E").replace(/\b(west|oeste)\b/gi, "W")
    .replace(/\b(lat|latitude|lon|lng|long|longitude)\b\s*[:=]?/gi, " ");
  if (/[NSEWO]/i.test(short)) return lettered(short.replace(/(\d),(\d)/g, "$1.$2").replace(/[,;/]/g, " "));
  // A decimal comma only where a semicolon or a blank parts the two numbers.
  const found = PAIR.exec(/\d,\d+\s*[;/ ]\s*[+\-−]?\d/.test(short) ? short : short.replace(/,/g, " , ").replace(/ , /, ";").replace(/ , /g, ","));
  return found ? sound(plain(found[1]), plain(found[2])) : null;
}
