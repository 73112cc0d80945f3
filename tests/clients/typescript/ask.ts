// A stranger's first script: a typical day of a named rig at the first station of a list. Its types
// are made from openapi/openapi.json; the address of the service comes from the caller.
import type { components, paths } from "./schema";

type Projection = components["schemas"]["Projection"];
type ProjectionResult = components["schemas"]["ProjectionAnswer"];
type Problem = components["schemas"]["Problem"];
type Stations =
  paths["/v1/stations"]["get"]["responses"][200]["content"]["application/json"];
type Query = NonNullable<paths["/v1/stations"]["get"]["parameters"]["query"]>;

async function stationsNear(service: string, query: Query): Promise<Stations> {
  const parameters = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) parameters.set(name, String(value));
  const response = await fetch(`${service}/v1/stations?${parameters}`);
  return (await response.json()) as Stations;
}

async function project(service: string, body: Projection): Promise<ProjectionResult> {
  const response = await fetch(`${service}/v1/projections`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  if (!response.ok) {
    const problem = (await response.json()) as Problem;
    const faults = (problem.errors ?? []).map((each) => `${each.pointer}: ${each.detail}`);
    throw new Error([problem.title, ...faults].join("\n"));
  }
  return (await response.json()) as ProjectionResult;
}

export async function ask(service: string): Promise<string> {
  const { stations } = await stationsNear(service, { near: "-34.1,-120.6", page_size: 1 });
  const station = stations[0];
  if (station === undefined) throw new Error("no station");
  const answer = await project(service, {
    rig: "flatbed_cabin",
    place: {
      latitude: station.latitude,
      longitude: station.longitude,
      elevation_m: station.elevation_m,
    },
    weather: { typical_year: { from: "01-15", station: station.id } },
    operation: { set_point_c: 24 },
    start: { state_of_charge: 0.9 },
    comfort: { measure: "operative", limit: 27 },
  });
  const peak = Math.max(...answer.hours.cabin_temperature_c.map((each) => each ?? -Infinity));
  return `${answer.summary.verdict}; ${station.id}; cabin at most ${peak.toFixed(3)}`;
}

// What the types must refuse, lest they be so loose that they help nobody.
export const refused: Partial<Projection>[] = [
  // @ts-expect-error: a state of charge is a number
  { start: { state_of_charge: "0.9" } },
  // @ts-expect-error: there is no such measure
  { comfort: { measure: "mood", limit: 27 } },
  // @ts-expect-error: a set point is needed
  { operation: {} },
];
