// The relief as a scene of three.js: loaded only when the maker turns it.

import {
  BufferAttribute,
  BufferGeometry,
  Color,
  DirectionalLight,
  HemisphereLight,
  Mesh,
  MeshStandardMaterial,
  PCFShadowMap,
  PerspectiveCamera,
  Scene,
  SRGBColorSpace,
  Texture,
  Vector3,
  WebGLRenderer,
} from "three";
import type { Seeing } from "../state/seeing";
import type { Course, Skin, Solid } from "../state/solid";
import { Gloss } from "./gloss";

/** The lamp's share of the light on a flat face; the rest comes from all round. As the lit picture has it. */
const LAMP_SHARE = 0.62;
/** Light thrown back from between the pieces, against that of the open side. */
const THROWN = 0x7a6a58;
const SHADE_PX = 2048;
const FINEST_PX = 2;
const ANGLE = Math.PI / 180;
/** How far the eye may go round and above, degrees: the back has nothing to see. */
const ROUND = 80;
const ABOVE = 75;

/** Where the eye stands: degrees to the right and above, and how near, 1 the whole in view. */
export interface Eye {
  readonly right: number;
  readonly above: number;
  readonly near: number;
}

export const STRAIGHT: Eye = { right: 0, above: 0, near: 1 };

export function within(eye: Eye): Eye {
  const held = (value: number, most: number) => Math.max(-most, Math.min(most, value));
  return {
    right: held(eye.right, ROUND),
    above: held(eye.above, ABOVE),
    near: Math.max(0.6, Math.min(8, eye.near)),
  };
}

export class Relief {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(26, 1, 0.01, 50);
  private readonly lamp = new DirectionalLight(0xfff6ea);
  private readonly sky = new HemisphereLight(0xf4f8ff, THROWN, (1 - LAMP_SHARE) * Math.PI);
  private readonly gloss = new Gloss(LAMP_SHARE);
  private readonly woods: { course: Course | undefined; material: MeshStandardMaterial }[] = [];
  private readonly middle = new Vector3();
  private reach = 1;
  private eye: Eye = STRAIGHT;
  private drawing = 0;

  private constructor(canvas: HTMLCanvasElement) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.sky.position.set(0, 0, 1);
    this.lamp.castShadow = true;
    this.lamp.shadow.mapSize.set(SHADE_PX, SHADE_PX);
    this.lamp.shadow.radius = 3;
    this.scene.add(this.sky, this.lamp, this.lamp.target);
  }

  /** Builds the scene; throws where the browser has no WebGL. */
  static async on(canvas: HTMLCanvasElement, solid: Solid): Promise<Relief> {
    const relief = new Relief(canvas);
    const pictures = await Promise.all(solid.textures.map((jpeg) => createImageBitmap(jpeg)));
    const textures = pictures.map((picture) => relief.texture(picture));
    for (const skin of solid.skins) relief.put(skin, textures[skin.texture], solid);
    relief.measure(solid);
    return relief;
  }

  private texture(picture: ImageBitmap): Texture {
    const texture = new Texture(picture);
    texture.flipY = false;
    texture.colorSpace = SRGBColorSpace;
    texture.anisotropy = Math.min(8, this.renderer.capabilities.getMaxAnisotropy());
    texture.needsUpdate = true;
    return texture;
  }

  private put(skin: Skin, map: Texture | undefined, solid: Solid): void {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(skin.positions, 3));
    geometry.setAttribute("normal", new BufferAttribute(skin.normals, 3));
    geometry.setAttribute("uv", new BufferAttribute(skin.places, 2));
    geometry.setAttribute("lies", new BufferAttribute(skin.lies, 4));
    geometry.setIndex(new BufferAttribute(skin.indices, 1));
    const material = new MeshStandardMaterial({ map: map ?? null, metalness: 0 });
    const course = skin.wood === null ? undefined : solid.woods[skin.wood];
    this.gloss.onto(material, course?.shown[1] ?? 1);
    const mesh = new Mesh(geometry, material);
    mesh.castShadow = true;
    mesh.receiveShadow = true;
    this.scene.add(mesh);
    this.woods.push({ course, material });
  }

  private measure(solid: Solid): void {
    const high = [0, 0, 0];
    for (const { positions } of solid.skins)
      positions.forEach((value, at) => {
        high[at % 3] = Math.max(high[at % 3] ?? 0, value);
      });
    const [x = 1, y = 1, z = 0] = high;
    this.middle.set(0, 0, z / 2);
    this.reach = Math.hypot(x, y, z);
    const { camera } = this.lamp.shadow;
    Object.assign(camera, { left: -this.reach, right: this.reach, top: this.reach, bottom: -this.reach });
    Object.assign(camera, { near: 0.5 * this.reach, far: 3.5 * this.reach });
    camera.updateProjectionMatrix();
    this.lamp.shadow.normalBias = (2 * this.reach) / SHADE_PX;
    this.size = [x, y];
  }

  private size: [number, number] = [1, 1];

  /** Light, finish and years. */
  see(how: Seeing): void {
    const [from, height] = [how.from * ANGLE, how.height * ANGLE];
    const flat = Math.cos(height) * 2 * this.reach;
    this.lamp.position.set(Math.sin(from) * flat, Math.cos(from) * flat, Math.sin(height) * 2 * this.reach);
    this.lamp.intensity = (LAMP_SHARE * Math.PI) / Math.sin(height);
    this.gloss.set(how.gloss, this.lamp.position);
    for (const { course, material } of this.woods) {
      material.roughness = how.raw ? 0.95 : 0.9 - 0.007 * how.gloss;
      const now = (how.raw ? course?.raw : course?.finished)?.[how.years];
      if (course && now) {
        const share = (at: 0 | 1 | 2) => now[at] / Math.max(1e-4, course.shown[at]);
        material.color = new Color(share(0), share(1), share(2));
      }
    }
    this.draw();
  }

  /** From where it is seen. */
  turn(eye: Eye): void {
    this.eye = within(eye);
    this.draw();
  }

  /** Fits the canvas to its place on the page, CSS pixels. */
  fit(width: number, height: number): void {
    this.renderer.setPixelRatio(Math.min(FINEST_PX, globalThis.devicePixelRatio));
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Draws once the browser is ready, however often it is asked. */
  private draw(): void {
    if (this.drawing !== 0) return;
    this.drawing = requestAnimationFrame(() => {
      this.drawing = 0;
      this.place();
      this.renderer.render(this.scene, this.camera);
    });
  }

  private place(): void {
    const half = Math.tan((this.camera.fov * ANGLE) / 2);
    const [x, y] = this.size;
    const [right, above] = [this.eye.right * ANGLE, this.eye.above * ANGLE];
    // Turned, one side comes nearer and looks larger.
    const room = 1.06 + 0.22 * Math.hypot(Math.sin(right), Math.sin(above));
    const away = (room * Math.max(y / half, x / (half * this.camera.aspect))) / this.eye.near + this.middle.z;
    const level = Math.cos(above) * away;
    this.camera.position.set(Math.sin(right) * level, Math.sin(above) * away, Math.cos(right) * level);
    this.camera.position.add(this.middle);
    this.camera.lookAt(this.middle);
  }

  end(): void {
    cancelAnimationFrame(this.drawing);
    this.scene.traverse((each) => {
      if (each instanceof Mesh) {
        each.geometry.dispose();
        each.material.map?.dispose();
        each.material.dispose();
      }
    });
    this.renderer.dispose();
  }
}
