// Coasts and borders: the arcs of a topology of Natural Earth (public domain), fetched once.

const FILE = "/page/vendor/countries-50m.json";
let asked = null;

// Each arc as longitudes and latitudes with its bounds.
export function decode({ transform, arcs }) {
  const { scale, translate } = transform;
  return arcs.map((arc) => {
    let [x, y] = [0, 0];
    const points = arc.map(([dx, dy]) => {
      x += dx;
      y += dy;
      return [x * scale[0] + translate[0], y * scale[1] + translate[1]];
    });
    const [longitudes, latitudes] = [points.map(([each]) => each), points.map(([, each]) => each)];
    return {
      points,
      west: Math.min(...longitudes), east: Math.max(...longitudes),
      south: Math.min(...latitudes), north: Math.max(...latitudes),
    };
  });
}

// The arcs; an empty list where they cannot be had: the map stands without them.
export function coast() {
  asked ??= fetch(FILE).then((response) => response.json()).then(decode).catch(() => {
    asked = null;
    return [];
  });
  return asked;
}

export const within = (arcs, box, room = 1) =>
  arcs.filter((each) => each.west <= box.east + room && each.east >= box.west - room && each.south <= box.north + room && each.north >= box.south - room);
