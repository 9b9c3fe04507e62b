// README's first request with the types that a generator makes of the contract. Compiled strictly, then run.
import createClient from "openapi-fetch";
import type { paths } from "./contract.js";

const service = process.argv[2] ?? "http://127.0.0.1:8000";
const client = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: service });

const { data, error } = await client.POST("/v1/suitabilities", {
  body: {
    site: {
      latitude: 53.75,
      longitude: -2.05,
      elevation_m: 190,
      last_spring_frost: { median: "05-06", later_one_year_in_ten: "05-24" },
      winter_minimum: { mean_annual_minimum_c: -7.5 },
      coldest_month_mean_c: 3.2,
      warmest_month_mean_c: 15.2,
      rain_days_in_growing_season: 88,
    },
    cultivars: ["Discovery", "Bramley's Seedling", "Granny Smith"],
  },
});
if (error !== undefined) {
  for (const fault of error.errors ?? []) console.error(fault.pointer, fault.detail);
  throw new Error(error.detail);
}
console.log("TypeScript:", data.suitabilities.map((one) => `${one.cultivar} ${one.verdict}`).join(", "));

const refused = await client.POST("/v1/suitabilities", {
  body: { site: { latitude: 53.75, longitude: -2.05 }, cultivars: ["Golden Delishus"] },
});
const nearest = refused.error?.errors?.[0]?.nearest?.[0];
if (refused.response.status !== 422 || nearest !== "Golden Delicious") throw new Error("the refusal was not read");
