// Where the rig stands: stations by name, a map, coordinates pasted or from the browser on request.

import { coast } from "./coast.js";
import { coordinatesIn } from "./coordinates.js";
import { by, make } from "./dom.js";
import { drawMap } from "./map.js";

const SEARCH_MS = 150;
const LOCATE_MS = 15_000;

export class PlacesPart {
  // `set` changes the scenario and asks anew.
  constructor(source, scenario, set) {
    Object.assign(this, { source, scenario, set });
    let timer;
    by("station-search").addEventListener("input", (event) => {
      clearTimeout(timer);
      timer = setTimeout(() => this.search(event.target.value), SEARCH_MS);
    });
    by("station-search").addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      const [first] = this.found ?? [];
      if (first && first.id !== scenario.station) this.set({ station: first.id });
    });
    by("pasted").addEventListener("input", (event) => this.take(event.target.value));
    by("locate").addEventListener("click", () => this.locate());
    by("locate").hidden = !navigator.geolocation;
    by("part-where").addEventListener("toggle", () => this.site && this.draw(this.site));
    for (const zone of Intl.supportedValuesOf("timeZone")) by("zones").append(make("option", { value: zone }));
  }

  async search(words) {
    const found = await this.source.search(words);
    this.found = words.trim() ? found : null;
    this.fill(found);
    by("search-says").textContent = words.trim()
      ? found.length === 1 ? "1 station found." : `${found.length || "No"} stations found.`
      : "";
    if (found.length && !found.some((each) => each.id === this.scenario.station)) by("station").selectedIndex = -1;
  }

  fill(stations = this.source.stations) {
    const { scenario, source } = this;
    const list = by("station");
    const shown = stations.some((each) => each.id === scenario.station) || !scenario.station
      ? stations
      : [...source.stations.filter((each) => each.id === scenario.station), ...stations];
    const regions = Map.groupBy(shown, (each) => each.region || "elsewhere");
    list.replaceChildren(
      ...[...regions].map(([region, members]) =>
        make("optgroup", { label: region }, ...members.map((each) => make("option", { value: each.id }, each.name))),
      ),
    );
    list.value = scenario.station;
  }

  async take(text) {
    if (!text.trim()) {
      by("pasted-says").textContent = "";
      return;
    }
    const found = coordinatesIn(text);
    by("pasted-says").textContent = found
      ? `Read as ${found.latitude}, ${found.longitude}.`
      : "No coordinates in this text: try 40.015, -105.27 or 40°00'54\"N 105°16'12\"W.";
    if (found) await this.goTo(found);
  }

  // The height of the nearest station stands until a better one is entered.
  async goTo({ latitude, longitude }, elevation = null) {
    const near = elevation === null ? await this.source.nearest(latitude, longitude).catch(() => null) : null;
    const height = elevation ?? near?.elevation_m;
    this.set({ where: "point", latitude, longitude, ...(height === undefined ? {} : { elevation_m: height }) });
  }

  locate() {
    by("pasted-says").textContent = "Asking the browser where this device is…";
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        const round = (value) => Math.round(value * 1e4) / 1e4;
        by("pasted-says").textContent = `Found to within ${Math.round(coords.accuracy)} m.`;
        this.goTo(
          { latitude: round(coords.latitude), longitude: round(coords.longitude) },
          coords.altitude === null ? null : Math.round(coords.altitude),
        );
      },
      (error) => {
        by("pasted-says").textContent = `The browser does not say where this device is: ${error.message || "not allowed"}.`;
      },
      { timeout: LOCATE_MS, maximumAge: 600_000 },
    );
  }

  // Coasts and borders come once, when the map is first seen.
  async draw(site) {
    this.site = site;
    if (this.arcs === undefined && by("part-where").open) this.arcs = await coast();
    if (this.site !== site) return;
    const { scenario, source } = this;
    const chosen = source.stations.find((each) => each.id === site.station) ?? site.nearest;
    drawMap(by("map"), {
      stations: source.stations,
      chosen,
      point: scenario.where === "point" ? site : null,
      arcs: this.arcs,
      onStation: (id) => this.set({ where: "station", station: id }),
      onPoint: (latitude, longitude) => this.goTo({ latitude, longitude }),
    });
    by("map-caption").textContent = source.stations.length
      ? "Choose a station, or any place: its height is then taken from the nearest station until you enter your own."
      : "";
  }
}
