// The gloss of the finish in 3D: what it mirrors of the window and of the room, as the lit picture has it.
// A dull finish scatters the 4 % that air and finish throw back as a veil over the wood, a bright one mirrors it. Where it
// fails: pieces do not mirror each other.

import { type MeshStandardMaterial, Vector3 } from "three";

/** As `crates/workshop/src/view/gloss.rs` has them. */
const VEIL = 0.04;
const USUAL = 0.25;
const LEAST_LEFT = 0.8;
const WINDOW = [0.36, 0.46] as const;
const BAR = 0.03;
const STRAIGHT = 0.72;
const NARROW = 5;
const SMEAR = [0.5, 0.05] as const;
const ABOVE = 0.5;
const SUMMED = 64;
/** As `expose.rs` and `backdrop.rs` have them, lengths in metres. */
const MOST_OPEN = 0.25;
const ROUND = 1.6;
const ROUNDEST = 0.035;
const UNEVEN = 0.014;
const UNEVEN_M = 0.024;

/** Rust writes a whole number as a float where GLSL must have a point. */
const float = (value: number) => value.toFixed(6);

const VERTEX = `
attribute vec4 lies;
varying vec4 glossLies;
varying vec2 glossPlace;
`;
const PLACE = `#include <begin_vertex>
  glossLies = lies;
  glossPlace = position.xy;`;
const HEAD = `
uniform float glossMirrored;
uniform float glossSmear;
uniform float glossShare;
uniform float glossPane;
uniform float glossWall;
uniform float glossMean;
uniform vec3 glossLamp;
uniform vec3 glossSide;
uniform vec3 glossUp;
varying vec4 glossLies;
varying vec2 glossPlace;

float glossShade(ivec2 cell) {
  uint h = uint(cell.x) * 0x9e3779b1u ^ uint(cell.y) * 0x85ebca77u;
  h = (h ^ (h >> 16)) * 0x7feb352du;
  h = (h ^ (h >> 15)) * 0x846ca68bu;
  return float((h ^ (h >> 16)) >> 8) / 8388608.0 - 1.0;
}
float glossNoise(vec2 at) {
  ivec2 cell = ivec2(floor(at));
  vec2 t = fract(at);
  t = t * t * t * (t * (t * 6.0 - 15.0) + 10.0);
  vec2 row = mix(vec2(glossShade(cell), glossShade(cell + ivec2(0, 1))),
    vec2(glossShade(cell + ivec2(1, 0)), glossShade(cell + ivec2(1, 1))), t.x);
  return mix(row.x, row.y, t.y);
}
vec2 glossLean() {
  if (glossLies.zw == vec2(0.0)) return vec2(0.0);
  vec2 at = glossPlace / ${float(UNEVEN_M)} + 91.0 * glossLies.zw * vec2(97.0, 131.0);
  vec2 round = clamp((glossPlace - glossLies.xy) / ${float(ROUND)}, -${float(ROUNDEST)}, ${float(ROUNDEST)});
  return glossLies.zw + round + ${float(0.8 * UNEVEN)} * vec2(glossNoise(at), glossNoise(at + 57.3));
}
float glossBar(float at) {
  float smear = ${float(BAR)} + glossSmear;
  return (1.0 - smoothstep(${float(BAR)}, smear, abs(at))) * ${float(BAR)} / (${float(BAR)} + 0.5 * glossSmear);
}
float glossPanes(vec2 at) {
  vec2 within = smoothstep(-glossSmear, glossSmear, vec2(${WINDOW.map(float).join(", ")}) - abs(at));
  return within.x * within.y * (1.0 - glossBar(at.x)) * (1.0 - glossBar(at.y - ${float(0.3 * WINDOW[1])}));
}
vec3 glossIn(vec3 world) {
  return normalize((viewMatrix * vec4(world, 0.0)).xyz);
}
`;
const LIGHT = `
{
  vec3 eye = normalize(vViewPosition);
  vec3 leaned = normalize(normal + (viewMatrix * vec4(glossLean(), 0.0, 0.0)).xyz);
  vec3 mirrored = reflect(-eye, leaned);
  float away = 1.0 - clamp(dot(leaned, eye), 0.0, 1.0);
  float taken = glossMirrored * (${float(VEIL)} + ${float(1 - VEIL)} * pow(away, 5.0) * step(0.0, glossMirrored));
  float ahead = dot(mirrored, glossIn(glossLamp));
  vec2 at = vec2(dot(mirrored, glossIn(glossSide)), dot(mirrored, glossIn(glossUp))) / max(ahead, 1e-3);
  float window = glossWall * exp(${float(NARROW)} * (ahead - 1.0)) + (ahead > 0.5 ? glossPane * glossPanes(at) : 0.0);
  float up = dot(mirrored, glossIn(vec3(0.0, 1.0, 0.0)));
  float outward = dot(mirrored, glossIn(vec3(0.0, 0.0, 1.0)));
  float room = (1.0 - glossShare) * (1.0 + glossShare * (1.0 - 2.0 * outward * outward + ${float(ABOVE)} * up));
  float lit = min(reflectedLight.directDiffuse.g / max(diffuseColor.g * glossShare, 1e-4), 1.0);
  vec3 wood = max(diffuseColor.rgb, vec3(1e-4));
  vec3 left = max(wood - taken, ${float(LEAST_LEFT)} * wood) / wood;
#ifdef USE_MAP
  float closed = clamp(sampledDiffuseColor.g / glossMean, ${float(MOST_OPEN)}, 1.0);
#else
  float closed = 1.0;
#endif
  outgoingLight += (left - 1.0) * totalDiffuse + max(taken, 0.0) * closed * (room + lit * window);
}
#include <opaque_fragment>`;

/** How much of a pane a place of the window is, as the finish smears it. */
function panes(at: readonly [number, number], smear: number): number {
  const step = (low: number, high: number, value: number) => {
    const t = Math.max(0, Math.min(1, (value - low) / (high - low)));
    return t * t * (3 - 2 * t);
  };
  const bar = (off: number) => ((1 - step(BAR, BAR + smear, Math.abs(off))) * BAR) / (BAR + 0.5 * smear);
  const [x, y] = at;
  const within = step(-smear, smear, WINDOW[0] - Math.abs(x)) * step(-smear, smear, WINDOW[1] - Math.abs(y));
  return within * (1 - bar(x)) * (1 - bar(y - 0.3 * WINDOW[1]));
}

/** One gloss for all that is shown. */
export class Gloss {
  private readonly told = {
    glossMirrored: { value: 0 },
    glossSmear: { value: SMEAR[0] as number },
    glossShare: { value: 0 },
    glossPane: { value: 0 },
    glossWall: { value: 0 },
    glossLamp: { value: new Vector3(0, 0, 1) },
    glossSide: { value: new Vector3(1, 0, 0) },
    glossUp: { value: new Vector3(0, 1, 0) },
  };

  constructor(lampShare: number) {
    this.told.glossShare.value = lampShare;
  }

  /** Lays it over a wood whose mean green on its texture, in linear light, is told. */
  onto(material: MeshStandardMaterial, mean: number): void {
    material.onBeforeCompile = (shader) => {
      Object.assign(shader.uniforms, this.told, { glossMean: { value: Math.max(1e-4, mean) } });
      shader.vertexShader = VERTEX + shader.vertexShader.replace("#include <begin_vertex>", PLACE);
      shader.fragmentShader = HEAD + shader.fragmentShader.replace("#include <opaque_fragment>", LIGHT);
    };
  }

  /** So many percent under a lamp in this direction. */
  set(percent: number, lamp: Vector3): void {
    const share = percent / 100;
    const { told } = this;
    told.glossMirrored.value = share - USUAL;
    told.glossSmear.value = SMEAR[0] + (SMEAR[1] - SMEAR[0]) * Math.sqrt(share);
    const { x, y, z } = told.glossLamp.value.copy(lamp).normalize();
    const side = told.glossSide.value.set(z, 0, -x).normalize();
    told.glossUp.value.set(y * side.z, z * side.x - x * side.z, -y * side.x);
    told.glossWall.value = ((1 - STRAIGHT) * told.glossShare.value * NARROW) / (2 * z * (1 - 1 / NARROW));
    told.glossPane.value = (STRAIGHT * told.glossShare.value * Math.PI) / this.through(z);
  }

  /** What a flat face gets through a window of brightness 1. */
  private through(z: number): number {
    const smear = this.told.glossSmear.value;
    const [wide, high] = [WINDOW[0] + smear, WINDOW[1] + smear];
    let sum = 0;
    for (let nth = 0; nth < SUMMED * SUMMED; nth++) {
      const at = (of: number) => (2 * (of + 0.5)) / SUMMED - 1;
      const place = [at(nth % SUMMED) * wide, at(Math.floor(nth / SUMMED)) * high] as const;
      const square = 1 + place[0] ** 2 + place[1] ** 2;
      const toward = z + place[0] * this.told.glossSide.value.z + place[1] * this.told.glossUp.value.z;
      sum += (panes(place, smear) * Math.max(0, toward / Math.sqrt(square))) / square ** 1.5;
    }
    return (4 * wide * high * sum) / SUMMED ** 2;
  }
}
