import { type KeyboardEvent, type PointerEvent, useEffect, useRef, useState } from "react";
import {
  AmbientLight,
  Box3,
  Color,
  DirectionalLight,
  type Object3D,
  PerspectiveCamera,
  Scene,
  Vector3,
  WebGLRenderer,
} from "three";
import type { ScanMap } from "../api/records";
import { usePaper } from "../design/usePaper";
import { useSay } from "../i18n/say";
import { useWidth } from "../plan/useWidth";
import { type Built, built, discard, type Inks } from "./build";
import {
  eyeOf,
  FIRST_TURN,
  FROM_BEHIND,
  FROM_HEAD,
  FROM_SIDE,
  nearer,
  type Turn,
  turnedBy,
} from "./turning";
import "./scene.css";

const SEEN_DEG = 30;
const HEIGHT_SHARE = 0.72;
const STEP_DEG = 10;
const DRAG_DEG_PER_PX = 0.5;

const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-STEP_DEG, 0],
  ArrowRight: [STEP_DEG, 0],
  ArrowUp: [0, STEP_DEG],
  ArrowDown: [0, -STEP_DEG],
};

/** Tracts, cavities and pits under the skin, in space; drawn only when something changes. */
export function TractScene({ found }: { found: ScanMap }) {
  const t = useSay("scan");
  const [turn, setTurn] = useState<Turn>(FIRST_TURN);
  const [hides, setHides] = useState({ skin: false, floor: false });
  const [wrapper, width] = useWidth<HTMLDivElement>();
  const canvas = useRef<HTMLCanvasElement>(null);
  const labels = useRef<HTMLDivElement>(null);
  const [view, fails] = useView(canvas, found);
  const size = { width, height: Math.round(HEIGHT_SHARE * width) };
  useEffect(() => view?.draw(turn, size, hides, labels.current));

  if (fails) return <p>{t("space.none")}</p>;
  return (
    <div ref={wrapper} className="space">
      <Turnable turn={turn} onTurn={setTurn}>
        <canvas ref={canvas} style={size} />
        <div ref={labels} className="space-labels" aria-hidden="true">
          <span data-way="head">{t("way.head")}</span>
          <span data-way="left">{t("way.left")}</span>
          <span data-way="right">{t("way.right")}</span>
        </div>
      </Turnable>
      <Buttons turn={turn} onTurn={setTurn} />
      <div className="scan-row">
        {(["skin", "floor"] as const).map((part) => (
          <label key={part} className="space-part">
            <input
              type="checkbox"
              checked={!hides[part]}
              onChange={(event) => setHides({ ...hides, [part]: !event.target.checked })}
            />
            {t(`space.with_${part}`)}
          </label>
        ))}
      </div>
    </div>
  );
}

type TurnProps = { turn: Turn; onTurn: (turn: Turn) => void };

/** Turned by drag and by arrow keys. */
function Turnable({ turn, onTurn, children }: TurnProps & { children: React.ReactNode }) {
  const t = useSay("scan");
  const last = useRef<readonly [number, number] | null>(null);
  const drag = (event: PointerEvent) => {
    if (!last.current) return;
    const [x, y] = last.current;
    last.current = [event.clientX, event.clientY];
    const [right, down] = [event.clientX - x, event.clientY - y];
    onTurn(turnedBy(turn, -right * DRAG_DEG_PER_PX, down * DRAG_DEG_PER_PX));
  };
  const key = (event: KeyboardEvent) => {
    const arrow = ARROWS[event.key];
    if (arrow) onTurn(turnedBy(turn, ...arrow));
    else if (event.key === "+") onTurn(nearer(turn, 1.25));
    else if (event.key === "-") onTurn(nearer(turn, 0.8));
    else return;
    event.preventDefault();
  };
  const letGo = () => {
    last.current = null;
  };
  return (
    <div
      className="space-paper"
      role="application"
      aria-label={t("space.title")}
      // biome-ignore lint/a11y/noNoninteractiveTabindex: it takes keys
      tabIndex={0}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        last.current = [event.clientX, event.clientY];
      }}
      onPointerMove={drag}
      onPointerUp={letGo}
      onPointerCancel={letGo}
      onKeyDown={key}
    >
      {children}
    </div>
  );
}

function Buttons({ turn, onTurn }: TurnProps) {
  const t = useSay("scan");
  const ways: readonly [string, Turn][] = [
    ["behind", FROM_BEHIND],
    ["side", FROM_SIDE],
    ["head", FROM_HEAD],
    ["left", turnedBy(turn, -STEP_DEG, 0)],
    ["right", turnedBy(turn, STEP_DEG, 0)],
    ["up", turnedBy(turn, 0, STEP_DEG)],
    ["down", turnedBy(turn, 0, -STEP_DEG)],
    ["nearer", nearer(turn, 1.25)],
    ["farther", nearer(turn, 0.8)],
  ];
  return (
    <div className="scan-row">
      {ways.map(([name, to]) => (
        <button key={name} type="button" className="quiet" onClick={() => onTurn(to)}>
          {t(`space.${name}`)}
        </button>
      ))}
    </div>
  );
}

type Size = { width: number; height: number };
type Hides = { skin: boolean; floor: boolean };
type View = {
  draw: (turn: Turn, size: Size, hides: Hides, labels: HTMLElement | null) => void;
};

/** The drawing on a canvas, made anew for another map; whether this browser cannot do it. */
function useView(
  canvas: React.RefObject<HTMLCanvasElement | null>,
  found: ScanMap,
): [View | null, boolean] {
  const [view, setView] = useState<View | null>(null);
  const [fails, setFails] = useState(false);
  const paper = usePaper();
  // biome-ignore lint/correctness/useExhaustiveDependencies: another paper has other inks
  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    const renderer = rendererOn(element);
    if (!renderer) {
      setFails(true);
      return;
    }
    const parts = built(found, inksOf(element));
    setView(viewOf(renderer, parts));
    return () => {
      discard(parts.whole);
      renderer.dispose();
    };
  }, [canvas, found, paper]);
  return [view, fails];
}

function rendererOn(canvas: HTMLCanvasElement): WebGLRenderer | null {
  try {
    const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    renderer.setPixelRatio(Math.min(2, window.devicePixelRatio));
    return renderer;
  } catch {
    return null;
  }
}

function viewOf(renderer: WebGLRenderer, parts: Built): View {
  const scene = new Scene();
  const camera = new PerspectiveCamera(SEEN_DEG, 1, 1, 2000);
  const lamp = new DirectionalLight(0xffffff, 1.8);
  scene.add(parts.whole, new AmbientLight(0xffffff, 1.6), camera);
  camera.add(lamp);
  const box = new Box3().setFromObject(parts.skin);
  const middle = box.getCenter(new Vector3());
  const reach_mm = box.getSize(new Vector3()).length() / 2;
  const away = reach_mm / Math.sin((SEEN_DEG * Math.PI) / 360);
  return {
    draw: (turn, size, hides, labels) => {
      parts.skin.visible = !hides.skin;
      parts.floor.visible = !hides.floor;
      renderer.setSize(size.width, size.height, false);
      camera.aspect = size.width / size.height;
      camera.updateProjectionMatrix();
      const eye = new Vector3(...eyeOf(turn)).multiplyScalar(away / turn.nearness);
      camera.position.copy(middle).add(eye);
      camera.lookAt(middle);
      renderer.render(scene, camera);
      if (labels) placeLabels(labels, parts.skin, camera, size);
    },
  };
}

/** Head and both sides in full words, where they lie now. */
function placeLabels(labels: HTMLElement, skin: Object3D, camera: PerspectiveCamera, size: Size) {
  const box = new Box3().setFromObject(skin);
  const middle = box.getCenter(new Vector3());
  const places: Record<string, Vector3> = {
    head: new Vector3(middle.x, box.max.y, box.max.z),
    left: new Vector3(box.min.x, middle.y, box.max.z),
    right: new Vector3(box.max.x, middle.y, box.max.z),
  };
  for (const label of labels.querySelectorAll<HTMLElement>("[data-way]")) {
    const at = places[label.dataset.way ?? ""]?.project(camera);
    if (!at) continue;
    const room = (value: number, whole: number) => Math.max(8, Math.min(whole - 8, value));
    label.style.left = `${room(((at.x + 1) / 2) * size.width, size.width)}px`;
    label.style.top = `${room(((1 - at.y) / 2) * size.height, size.height)}px`;
  }
}

/** The page's own colours, on the paper that lies now. */
function inksOf(element: HTMLElement): Inks {
  const style = getComputedStyle(element);
  const ink = (name: string) => new Color(style.getPropertyValue(`--${name}`).trim());
  return {
    paper: ink("sheet"),
    ink: ink("ink"),
    dye: ink("dye"),
    flap: ink("flap"),
    fascia: ink("flap-ink"),
  };
}
