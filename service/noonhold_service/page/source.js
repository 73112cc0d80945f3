// What the service holds, fetched once: rigs, stations, and a station's year in short.

import { get } from "./asking.js";

const PAGE = 100;
const MOST_PAGES = 10;

export class Source {
  constructor() {
    this.kept = new Map();
    this.rigs = [];
    this.stations = [];
    this.total = 0;
  }

  // A failed question is not kept: the next one asks again.
  once(path) {
    if (!this.kept.has(path)) {
      const asked = get(path);
      this.kept.set(path, asked);
      asked.catch(() => this.kept.delete(path));
    }
    return this.kept.get(path);
  }

  async open() {
    const [rigs, first] = await Promise.all([get("/v1/rigs"), this.page(1)]);
    this.rigs = rigs.rigs;
    this.total = first.total;
    this.stations = first.stations;
    const pages = Math.min(first.pages, MOST_PAGES);
    for (let page = 2; page <= pages; page += 1) {
      this.stations.push(...(await this.page(page)).stations);
    }
  }

  page(number, more = "") {
    return get(`/v1/stations?page_size=${PAGE}&page=${number}${more}`);
  }

  async search(words) {
    const sought = words.trim().toLocaleLowerCase();
    if (!sought) return this.stations;
    if (this.stations.length < this.total) {
      return (await this.page(1, `&name=${encodeURIComponent(words.trim())}`)).stations;
    }
    return this.stations.filter((each) =>
      `${each.name} ${each.region} ${each.id}`.toLocaleLowerCase().includes(sought),
    );
  }

  rig(id) {
    return this.once(`/v1/rigs/${encodeURIComponent(id)}`);
  }

  // The station's own record and its year.
  year(id) {
    return this.once(`/v1/stations/${encodeURIComponent(id)}`);
  }

  async nearest(latitude, longitude) {
    const near = `${latitude.toFixed(4)},${longitude.toFixed(4)}`;
    const found = await this.once(`/v1/stations?page_size=1&near=${encodeURIComponent(near)}`);
    return found.stations[0] ?? null;
  }

  // Where the rig stands, and whose year it is.
  async site(scenario) {
    if (scenario.where === "station") {
      const { station } = await this.year(scenario.station);
      return { ...station, station: station.id, nearest: station };
    }
    const { latitude, longitude, elevation_m } = scenario;
    const sound = Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180;
    const nearest = sound ? await this.nearest(latitude, longitude) : null;
    return { latitude, longitude, elevation_m, station: nearest?.id, nearest };
  }
}
