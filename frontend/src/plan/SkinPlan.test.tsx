import { fireEvent, render, screen } from "@testing-library/react";
import { beforeEach, expect, it, vi } from "vitest";
import { speak } from "../i18n";
import { Cut } from "./Cut";
import { Handle } from "./Handle";
import { frameOf, type Point, through } from "./paper";
import { SkinPlan } from "./SkinPlan";

beforeEach(() => speak("en"));

/** jsdom lays nothing out: a screen on which one pixel is half a millimetre. */
function layOut(): void {
  const inverse = { inverse: () => ({ scale: 0.5 }) };
  Object.assign(SVGElement.prototype, {
    getScreenCTM: () => inverse,
    setPointerCapture: () => undefined,
  });
  class Pixel {
    constructor(
      readonly x: number,
      readonly y: number,
    ) {}
    matrixTransform({ scale }: { scale: number }) {
      return { x: this.x * scale, y: this.y * scale };
    }
  }
  vi.stubGlobal("DOMPoint", Pixel);
}

function plan(place: Point, onMove = vi.fn(), onDone = vi.fn()) {
  layOut();
  const { container } = render(
    <SkinPlan title="The excision" low={[-50, -60]} high={[50, 70]}>
      <Handle name="Corner A" place={place} onMove={onMove} onDone={onDone} />
    </SkinPlan>,
  );
  return {
    handle: screen.getByRole("button"),
    svg: container.querySelector("svg") as SVGSVGElement,
    onMove,
    onDone,
  };
}

it("draws the head above: y grows upwards, and is turned once", () => {
  expect(
    through(
      [
        [1, 2],
        [3, -4],
      ],
      "closed",
    ),
  ).toBe("M1 -2L3 4Z");
  const { container } = render(
    <SkinPlan title="A cut" low={[-20, -20]} high={[20, 20]}>
      <Cut outline={[[0, 10]]} />
    </SkinPlan>,
  );
  expect(container.querySelector(".cut")?.getAttribute("d")).toBe("M0 -10Z");
});

it("names head and both sides of the patient in full, right on the right", () => {
  plan([0, 0]);
  const [left, right] = ["Patient’s left", "Patient’s right"].map((word) => screen.getByText(word));
  expect(Number(left?.getAttribute("x"))).toBe(-50);
  expect(Number(right?.getAttribute("x"))).toBe(50);
  expect(screen.getByText("Head")).toBeDefined();
});

it("says where a handle is, in words of the patient", () => {
  expect(plan([-20.4, -21]).handle.getAttribute("aria-label")).toBe(
    "Corner A: 20 mm to the patient’s left, 21 mm below the coccyx tip",
  );
});

it("moves by arrow keys: 1 mm, with Shift 5, up towards the head", () => {
  const { handle, onDone } = plan([3, 7]);
  fireEvent.keyDown(handle, { key: "ArrowUp" });
  expect(onDone).toHaveBeenLastCalledWith([3, 8]);
  fireEvent.keyDown(handle, { key: "ArrowLeft", shiftKey: true });
  expect(onDone).toHaveBeenLastCalledWith([-2, 7]);
});

it("follows the pointer by as much as the pointer moved, and counts when it is let go", () => {
  const { handle, onMove, onDone } = plan([3, 7]);
  fireEvent.pointerDown(handle, { clientX: 100, clientY: 100 });
  fireEvent.pointerMove(handle, { clientX: 110, clientY: 80 });
  expect(onMove).toHaveBeenLastCalledWith([8, 17]);
  expect(onDone).not.toHaveBeenCalled();
  fireEvent.pointerUp(handle);
  expect(onDone).toHaveBeenCalledExactlyOnceWith([8, 17]);
});

it("moves without dragging: tap it, then tap its place", () => {
  const { handle, svg, onDone } = plan([3, 7]);
  fireEvent.pointerDown(handle, { clientX: 6, clientY: -14 });
  fireEvent.pointerUp(handle);
  expect(handle.getAttribute("aria-pressed")).toBe("true");
  fireEvent.click(svg, { clientX: 40, clientY: -60 });
  expect(onDone).toHaveBeenCalledExactlyOnceWith([20, 30]);
  expect(handle.getAttribute("aria-pressed")).toBe("false");
});

it("frames what is drawn by whole tens", () => {
  expect(
    frameOf([
      [-23, -7],
      [41, 55],
    ]),
  ).toEqual({ low: [-30, -20], high: [50, 60] });
});
