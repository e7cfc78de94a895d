// The gloss of the finish in 3D: what it mirrors of the room and of the window about the lamp, as the lit picture has it.
// A dull finish scatters the 4 % that air and finish throw back as a veil over the wood, a bright one mirrors it. Where it
// fails: pieces do not mirror each other, and all lie true.

import { type MeshStandardMaterial, Vector3 } from "three";

/** As `crates/workshop/src/view/gloss.rs` has them. */
const VEIL = 0.04;
const USUAL = 0.25;
const NARROW = [4, 14] as const;

const HEAD = `
uniform float glossMirrored;
uniform float glossNarrow;
uniform float glossShare;
uniform vec3 glossLamp;
`;
const LIGHT = `
{
  vec3 mirrored = reflect(-normalize(vViewPosition), normal);
  vec3 lamp = normalize((viewMatrix * vec4(glossLamp, 0.0)).xyz);
  float peak = glossShare * glossNarrow / (2.0 * glossLamp.z * (1.0 - 1.0 / glossNarrow));
  float glow = peak * exp(glossNarrow * (dot(mirrored, lamp) - 1.0));
  float lit = min(reflectedLight.directDiffuse.g / max(diffuseColor.g * glossShare, 1e-4), 1.0);
  vec3 wood = max(diffuseColor.rgb, vec3(1e-4));
  vec3 left = max(wood - glossMirrored, 0.6 * wood) / wood;
  outgoingLight += (left - 1.0) * totalDiffuse + max(glossMirrored, 0.0) * (1.0 - glossShare + lit * glow);
}
#include <opaque_fragment>`;

/** One gloss for all that is shown. */
export class Gloss {
  private readonly told = {
    glossMirrored: { value: 0 },
    glossNarrow: { value: NARROW[0] as number },
    glossShare: { value: 0 },
    glossLamp: { value: new Vector3(0, 0, 1) },
  };

  constructor(lampShare: number) {
    this.told.glossShare.value = lampShare;
  }

  onto(material: MeshStandardMaterial): void {
    material.onBeforeCompile = (shader) => {
      Object.assign(shader.uniforms, this.told);
      shader.fragmentShader = HEAD + shader.fragmentShader.replace("#include <opaque_fragment>", LIGHT);
    };
  }

  /** So many percent under a lamp in this direction. */
  set(percent: number, lamp: Vector3): void {
    const share = percent / 100;
    this.told.glossMirrored.value = VEIL * (share - USUAL);
    this.told.glossNarrow.value = NARROW[0] + (NARROW[1] - NARROW[0]) * share;
    this.told.glossLamp.value.copy(lamp).normalize();
  }
}
