// A scenario made into a request, away from the form: for whatever compares several of them.

import { documentOf, firstDay } from "./scenario.js";

export const OWN = "own";

export async function questionOf(scenario, source) {
  const own = scenario.rig === OWN;
  const rig = own ? JSON.parse(scenario.rig_text) : (await source.rig(scenario.rig)).rig;
  const site = await source.site(scenario);
  const climate = site.station ? await source.year(site.station) : null;
  const request = documentOf(scenario, site, climate, own ? rig : scenario.rig);
  return { scenario, rig, site, climate, request, day: firstDay(scenario, climate) };
}
