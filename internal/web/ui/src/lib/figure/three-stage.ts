// The turning figure itself. Loaded by import() only, with three and its kin.
import {
  BufferAttribute,
  BufferGeometry,
  DataTexture,
  DoubleSide,
  DynamicDrawUsage,
  Mesh,
  NearestFilter,
  OrthographicCamera,
  PerspectiveCamera,
  PlaneGeometry,
  Ray,
  RGBAFormat,
  Scene,
  Sphere,
  ShaderMaterial,
  Vector2,
  Vector3,
  WebGLRenderer,
  WebGLRenderTarget,
  type Object3D,
} from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';
import { MeshBVH } from 'three-mesh-bvh';
import { steps } from './lut.ts';
import { front, type View } from './orbit.ts';

/** What a click or the pointer met. */
export interface Hit {
  area: number;
  /** The triangle, counted as in the file where the model has one primitive. */
  face: number;
  /** In metres, Y up, as in the model. */
  point: [number, number, number];
}

const fieldOfView = 22; // degrees: little perspective, as of a thing in the hand

const vertex = `
attribute float exposure;
attribute float area;
attribute vec4 printed;
varying vec4 vPrinted;
varying vec3 vNormal;
varying vec3 vPlace;
varying float vExposure;
varying float vArea;
void main() {
  vNormal = normal;
  vPlace = position;
  vExposure = exposure;
  vArea = area;
  vPrinted = printed;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

// Light from all around, more from above, and from where one looks, so that a
// face turned to the eye shows the predicted colour as it is.
const paint = `
uniform sampler2D ramps;
uniform vec3 eye;
uniform float hatched;
uniform float hatchSize;
varying vec3 vNormal;
varying vec3 vPlace;
varying float vExposure;
varying float vArea;
varying vec4 vPrinted;
vec3 linear(vec3 c) { return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(0.04045, c)); }
vec3 encoded(vec3 c) { return mix(c * 12.92, 1.055 * pow(c, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, c)); }
vec3 at(float i, float row) { return linear(texelFetch(ramps, ivec2(int(i), int(row)), 0).rgb); }
void main() {
  vec3 n = normalize(gl_FrontFacing ? vNormal : -vNormal);
  float row = floor(vArea + 0.5);
  float x = clamp(vExposure, 0.0, 1.0) * 15.0;
  vec3 c = mix(at(floor(x), row), at(min(15.0, floor(x) + 1.0), row), fract(x));
  c = mix(c, vPrinted.rgb, vPrinted.a); // a flag is printed, not painted
  if (row == hatched) {
    c *= fract((gl_FragCoord.x + gl_FragCoord.y) / hatchSize) < 0.4 ? 0.6 : 1.0;
  }
  float light = 0.5 + 0.3 * (0.5 + 0.5 * n.y) + 0.35 * max(0.0, dot(n, normalize(eye - vPlace)));
  gl_FragColor = vec4(encoded(clamp(c * light, 0.0, 1.0)), 1.0);
}`;

const mask = `
uniform float chosen;
uniform float hovered;
varying float vArea;
void main() {
  float row = floor(vArea + 0.5);
  gl_FragColor = vec4(row == chosen ? 1.0 : 0.0, row == hovered ? 1.0 : 0.0, 0.0, 1.0);
}`;

// A line around what is chosen: white, and black around the white, so that it
// shows on every colour. It lies outside, so that the smallest area stays in sight.
const outline = `
uniform sampler2D marked;
uniform vec2 pixel;
varying vec2 vUv;
float ring(float r, int channel) {
  float m = 0.0;
  for (int i = 0; i < 12; i++) {
    float a = float(i) * 0.5235988;
    m = max(m, texture2D(marked, vUv + pixel * r * vec2(cos(a), sin(a)))[channel]);
  }
  return m;
}
void main() {
  vec4 here = texture2D(marked, vUv);
  gl_FragColor = vec4(0.0);
  if (here.g < 0.5) {
    if (ring(1.0, 1) > 0.5) gl_FragColor = vec4(1.0);
    else if (ring(2.0, 1) > 0.5) gl_FragColor = vec4(0.0, 0.0, 0.0, 1.0);
  }
  if (here.r < 0.5) {
    if (ring(1.4, 0) > 0.5) gl_FragColor = vec4(1.0);
    else if (ring(2.5, 0) > 0.5) gl_FragColor = vec4(0.0, 0.0, 0.0, 1.0);
  }
}`;

const whole = `
varying vec2 vUv;
void main() { vUv = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }`;

/** A model on a canvas. It is drawn when something changes, not all the time. */
export class Stage {
  /** Names of the model's areas, in the order of the rows of `colour`. */
  areas: string[] = [];
  faces = 0;
  view: View = front;
  /** Called after each frame drawn. */
  drawn: () => void = () => undefined;

  #renderer: WebGLRenderer;
  #scene = new Scene();
  #camera = new PerspectiveCamera(fieldOfView, 1, 0.001, 10);
  #flat = new OrthographicCamera();
  #paint = new ShaderMaterial({
    vertexShader: vertex,
    fragmentShader: paint,
    side: DoubleSide,
    uniforms: { ramps: { value: null }, eye: { value: new Vector3() }, hatched: { value: -1 }, hatchSize: { value: 12 } },
  });
  #mask = new ShaderMaterial({
    vertexShader: vertex,
    fragmentShader: mask,
    side: DoubleSide,
    uniforms: { chosen: { value: -1 }, hovered: { value: -1 } },
  });
  #outline = new ShaderMaterial({
    vertexShader: whole,
    fragmentShader: outline,
    transparent: true,
    depthTest: false,
    depthWrite: false,
    uniforms: { marked: { value: null }, pixel: { value: new Vector2() } },
  });
  #quad = new Mesh(new PlaneGeometry(2, 2), this.#outline);
  #overlay = new Scene();
  #marks = new WebGLRenderTarget(1, 1);
  #mesh: Mesh | null = null;
  #bvh: MeshBVH | null = null;
  #centre = new Vector3();
  #focus = new Vector3();
  #half = new Vector2(0.02, 0.03); // half the width (turned any way) and height
  #frame = 0;
  #marked = false; // whether #marks are of this view, and of these faces

  /** Throws where there is no WebGL. */
  constructor(readonly canvas: HTMLCanvasElement) {
    this.#renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.#renderer.autoClear = false;
    this.#renderer.setClearColor(0x000000, 0);
    this.#overlay.add(this.#quad);
    this.#quad.frustumCulled = false;
    canvas.addEventListener('webglcontextlost', (event) => event.preventDefault());
    canvas.addEventListener('webglcontextrestored', () => this.#ask());
  }

  /** Shows a GLB: one area per material, or one primitive whose faces are given
      areas by `label`; flat: each face in its own light, so that creases show. The
      view stays as it is. */
  async load(glb: ArrayBuffer, flat = false): Promise<void> {
    const gltf = await new GLTFLoader().parseAsync(glb, '');
    const parts: Mesh[] = [];
    gltf.scene.traverse((o: Object3D) => {
      if ((o as Mesh).isMesh) parts.push(o as Mesh);
    });
    this.areas = [...new Set(parts.map((p) => nameOf(p)))];
    const geometry = flatten(parts, this.areas);
    if (flat || !parts[0]?.geometry.getAttribute('normal')) geometry.computeVertexNormals();
    this.#put(geometry);
  }

  #put(geometry: BufferGeometry): void {
    this.#mesh?.geometry.dispose();
    if (this.#mesh) this.#scene.remove(this.#mesh);
    this.#mesh = new Mesh(geometry, this.#paint);
    this.#scene.add(this.#mesh);
    this.faces = geometry.getAttribute('position').count / 3;
    this.#bvh = new MeshBVH(geometry, { indirect: true });
    geometry.computeBoundingBox();
    const box = geometry.boundingBox!;
    box.getCenter(this.#centre);
    this.#focus.copy(this.#centre);
    const size = box.getSize(new Vector3());
    this.#half.set(Math.hypot(size.x, size.z) / 2, size.y / 2);
    this.#ask();
  }

  /** Rows of sixteen colours, RGBA bytes in sRGB (see pack). */
  colour(rows: Uint8Array): void {
    const height = rows.length / (4 * steps);
    const old = this.#paint.uniforms.ramps!.value as DataTexture | null;
    if (old && old.image.height === height) {
      (old.image.data as Uint8Array).set(rows);
      old.needsUpdate = true;
    } else {
      old?.dispose();
      const texture = new DataTexture(rows.slice(), steps, height, RGBAFormat);
      texture.magFilter = texture.minFilter = NearestFilter;
      texture.needsUpdate = true;
      this.#paint.uniforms.ramps!.value = texture;
    }
    this.#ask(true);
  }

  /** Gives each face the row of its area; row `hatched` is drawn hatched. */
  label(rowOfFace: ArrayLike<number>, hatched = -1): void {
    const area = this.#mesh?.geometry.getAttribute('area') as BufferAttribute | undefined;
    if (!area) return;
    const values = area.array as Float32Array;
    for (let f = 0; f < this.faces; f++) values.fill(rowOfFace[f] ?? 0, 3 * f, 3 * f + 3);
    area.needsUpdate = true;
    this.#paint.uniforms.hatched!.value = hatched;
    this.#ask();
  }

  /** Draws lines around the chosen area and the one under the pointer; −1 for none. */
  mark(chosen: number, hovered: number): void {
    const { uniforms } = this.#mask;
    if (uniforms.chosen!.value === chosen && uniforms.hovered!.value === hovered) return;
    uniforms.chosen!.value = chosen;
    uniforms.hovered!.value = hovered;
    this.#ask();
  }

  look(view: View): void {
    this.view = view;
    this.#ask();
  }

  /** Looks at the middle of an area when near; −1 for the whole figure. */
  focus(area: number): void {
    const middle = area < 0 ? null : this.#middle(area);
    this.#focus.copy(middle ? middle.place : this.#centre);
    this.#ask();
  }

  /** The view from the side to which an area looks; null when it is not there. */
  facing(area: number): View | null {
    const middle = this.#middle(area);
    if (!middle) return null;
    const { x, y, z } = middle.normal;
    const level = Math.hypot(x, z);
    // What looks up or down most, or all around, is turned to only a little.
    if (level < 0.08) return y > 0.5 ? { ...this.view, elevation: 45 } : this.view;
    const azimuth = (Math.atan2(x, z) * 180) / Math.PI;
    const elevation = y > 2 * level ? 30 : y < -level ? -8 : front.elevation;
    return { ...this.view, azimuth, elevation };
  }

  #middle(area: number): { place: Vector3; normal: Vector3 } | null {
    const geometry = this.#mesh?.geometry;
    if (!geometry) return null;
    const areas = geometry.getAttribute('area');
    const position = geometry.getAttribute('position');
    const place = new Vector3();
    const normal = new Vector3();
    const [a, b, c] = [new Vector3(), new Vector3(), new Vector3()];
    let all = 0;
    for (let i = 0; i < areas.count; i += 3) {
      if (areas.getX(i) !== area) continue;
      a.fromBufferAttribute(position, i);
      b.fromBufferAttribute(position, i + 1);
      c.fromBufferAttribute(position, i + 2);
      const across = b.clone().sub(a).cross(c.clone().sub(a));
      const size = across.length();
      normal.add(across);
      place.addScaledVector(a.add(b).add(c), size / 3);
      all += size;
    }
    return all > 0 ? { place: place.divideScalar(all), normal: normal.divideScalar(all) } : null;
  }

  /** What is at a place of the canvas, in CSS pixels from its corner. */
  pick(x: number, y: number): Hit | null {
    if (!this.#bvh || !this.#mesh) return null;
    this.#aim();
    const at = new Vector3((x / this.canvas.clientWidth) * 2 - 1, 1 - (y / this.canvas.clientHeight) * 2, 0.5);
    const ray = new Ray(this.#camera.position.clone(), at.unproject(this.#camera).sub(this.#camera.position).normalize());
    const hit = this.#bvh.raycastFirst(ray, DoubleSide);
    if (!hit || hit.faceIndex === undefined || hit.faceIndex === null) return null;
    const area = this.#mesh.geometry.getAttribute('area').getX(3 * hit.faceIndex);
    return { area, face: hit.faceIndex, point: hit.point.toArray() };
  }

  /** The faces near a place that was hit, within metres of it and looking to the
      same side, so that a brush on a sleeve does not reach the coat behind. */
  near(hit: Hit, radius: number): number[] {
    if (!this.#bvh || !this.#mesh || hit.face < 0) return [];
    const normals = this.#mesh.geometry.getAttribute('normal');
    const side = new Vector3().fromBufferAttribute(normals, 3 * hit.face);
    const ball = new Sphere(new Vector3(...hit.point), radius);
    const out = [hit.face];
    const [middle, normal] = [new Vector3(), new Vector3()];
    this.#bvh.shapecast({
      intersectsBounds: (box) => ball.intersectsBox(box),
      intersectsTriangle: (triangle, face) => {
        triangle.getMidpoint(middle);
        if (!ball.containsPoint(middle)) return false;
        if (normal.fromBufferAttribute(normals, 3 * face).dot(side) > 0) out.push(face);
        return false;
      },
    });
    return out;
  }

  /** What is in the middle of the canvas. */
  middle(): Hit | null {
    return this.pick(this.canvas.clientWidth / 2, this.canvas.clientHeight / 2);
  }

  #aim(): void {
    const { azimuth, elevation, zoom } = this.view;
    const [a, e] = [(azimuth * Math.PI) / 180, (elevation * Math.PI) / 180];
    const aspect = Math.max(0.1, this.canvas.clientWidth / Math.max(1, this.canvas.clientHeight));
    const tan = Math.tan((fieldOfView * Math.PI) / 360);
    const high = this.#half.y * Math.cos(e) + this.#half.x * Math.abs(Math.sin(e));
    const distance = (1.03 * Math.max(high / tan, this.#half.x / (tan * aspect)) + 0.85 * this.#half.x * Math.cos(e)) / zoom;
    const target = this.#centre.clone().lerp(this.#focus, Math.min(1, (zoom - 1) / 1.5));
    this.#camera.aspect = aspect;
    this.#camera.position
      .set(Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e))
      .multiplyScalar(Math.max(distance, this.#half.x * 0.2))
      .add(target);
    this.#camera.near = distance / 50;
    this.#camera.far = distance * 4 + this.#half.x * 4;
    this.#camera.lookAt(target);
    this.#camera.updateProjectionMatrix();
    this.#camera.updateMatrixWorld();
  }

  /** Draws anew, for instance after the canvas took another size. */
  refresh(): void {
    this.#ask();
  }

  // #ask draws with the next frame; what is marked stays where only colours differ.
  #ask(onlyColours = false): void {
    if (!onlyColours) this.#marked = false;
    this.#frame ||= requestAnimationFrame(() => {
      this.#frame = 0;
      this.#draw();
      this.drawn();
    });
  }

  #draw(): void {
    const { clientWidth, clientHeight } = this.canvas;
    if (!this.#mesh || !this.#paint.uniforms.ramps!.value || clientWidth === 0 || clientHeight === 0) return;
    const ratio = Math.min(2, devicePixelRatio);
    const size = this.#renderer.getSize(new Vector2());
    if (size.x !== clientWidth || size.y !== clientHeight || this.#renderer.getPixelRatio() !== ratio) {
      this.#renderer.setPixelRatio(ratio);
      this.#renderer.setSize(clientWidth, clientHeight, false); // the size is the style sheet's
      this.#marked = false;
      this.#marks.setSize(Math.round(clientWidth * ratio), Math.round(clientHeight * ratio));
    }
    this.#aim();
    (this.#paint.uniforms.eye!.value as Vector3).copy(this.#camera.position);
    this.#paint.uniforms.hatchSize!.value = 12 * ratio; // device pixels
    const { chosen, hovered } = this.#mask.uniforms;
    const marked = chosen!.value >= 0 || hovered!.value >= 0;
    if (marked && !this.#marked) {
      this.#marked = true;
      this.#mesh.material = this.#mask;
      this.#renderer.setRenderTarget(this.#marks);
      this.#renderer.clear();
      this.#renderer.render(this.#scene, this.#camera);
      this.#renderer.setRenderTarget(null);
    }
    this.#mesh.material = this.#paint;
    this.#renderer.clear();
    this.#renderer.render(this.#scene, this.#camera);
    if (marked) {
      this.#outline.uniforms.marked!.value = this.#marks.texture;
      (this.#outline.uniforms.pixel!.value as Vector2).set(ratio / this.#marks.width, ratio / this.#marks.height);
      this.#renderer.render(this.#overlay, this.#flat);
    }
  }

  dispose(): void {
    cancelAnimationFrame(this.#frame);
    this.#mesh?.geometry.dispose();
    (this.#paint.uniforms.ramps!.value as DataTexture | null)?.dispose();
    for (const material of [this.#paint, this.#mask, this.#outline]) material.dispose();
    this.#quad.geometry.dispose();
    this.#marks.dispose();
    this.#renderer.dispose();
  }
}

function nameOf(part: Mesh): string {
  const { material } = part;
  return (Array.isArray(material) ? material[0] : material)?.name ?? '';
}

// flatten makes one mesh of all parts, three corners for each face, so that
// every face can be of its own area and one call draws all.
function flatten(parts: Mesh[], areas: string[]): BufferGeometry {
  const count = parts.reduce((n, p) => n + (p.geometry.index?.count ?? p.geometry.getAttribute('position').count), 0);
  const position = new Float32Array(3 * count);
  const normal = new Float32Array(3 * count);
  const exposure = new Float32Array(count).fill(1);
  const area = new Float32Array(count);
  const printed = new Float32Array(4 * count);
  let to = 0;
  for (const part of parts) {
    const { geometry } = part;
    const row = areas.indexOf(nameOf(part));
    const from = geometry.getAttribute('position');
    const normals = geometry.getAttribute('normal');
    const light = geometry.getAttribute('_exposure');
    const print = nameOf(part) === 'flag' ? geometry.getAttribute('color') : undefined;
    const n = geometry.index?.count ?? from.count;
    for (let i = 0; i < n; i++, to++) {
      const v = geometry.index ? geometry.index.getX(i) : i;
      position.set([from.getX(v), from.getY(v), from.getZ(v)], 3 * to);
      if (normals) normal.set([normals.getX(v), normals.getY(v), normals.getZ(v)], 3 * to);
      if (light) exposure[to] = light.getX(v);
      if (print) printed.set([print.getX(v), print.getY(v), print.getZ(v), 1], 4 * to);
      area[to] = row;
    }
  }
  const out = new BufferGeometry();
  out.setAttribute('position', new BufferAttribute(position, 3));
  out.setAttribute('normal', new BufferAttribute(normal, 3));
  out.setAttribute('exposure', new BufferAttribute(exposure, 1));
  out.setAttribute('printed', new BufferAttribute(printed, 4));
  out.setAttribute('area', new BufferAttribute(area, 1).setUsage(DynamicDrawUsage));
  return out;
}
