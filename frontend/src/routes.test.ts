import { expect, it } from "vitest";
import { hashOf, routeOf } from "./routes";

it("reads back every address that it writes", () => {
  const route = { at: "case", caseId: "a b/1", stop: "theatre" } as const;
  expect(routeOf(hashOf(route))).toEqual(route);
  expect(routeOf(hashOf({ at: "cases" }))).toEqual({ at: "cases" });
});

it("leads unknown addresses to the cases, and a case without a stop to its disease", () => {
  expect(routeOf("#/nowhere/7")).toEqual({ at: "cases" });
  expect(routeOf("#/case/c12/nowhere")).toEqual({ at: "case", caseId: "c12", stop: "disease" });
});
