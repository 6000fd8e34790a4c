// Reads font files: unpacks them, reduces them to one weight, and opens them with HarfBuzz, which lays out the glyphs of a word.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { Blob, Face, Font } from "harfbuzzjs";
import { remember } from "../../shared/remember.ts";
import { type FontKey, sourceOf } from "./fonts.ts";

const require = createRequire(import.meta.url);

export interface OpenFont {
  /** A font file of one weight, as it is embedded. */
  readonly bytes: Uint8Array;
  readonly font: Font;
  readonly unitsPerEm: number;
}

/** Unpacks WOFF2. wawoff2's own wrapper does the same but asynchronously, and lines are laid out synchronously. */
interface Unpacker {
  readonly calledRun?: boolean;
  onRuntimeInitialized: () => void;
  decompress(packed: Uint8Array): Uint8Array | false;
}
const unpacker = require("wawoff2/build/decompress_binding.js") as Unpacker;
if (unpacker.calledRun !== true) {
  await new Promise<void>((resolve) => {
    unpacker.onRuntimeInitialized = resolve;
  });
}

/** The functions of hb-subset that are used here, as its manual has them; numbers are addresses in its memory. */
interface Subsetter {
  readonly memory: { readonly buffer: ArrayBuffer };
  _initialize(): void;
  malloc(bytes: number): number;
  free(at: number): void;
  hb_blob_create(data: number, length: number, mode: number, userData: number, destroy: number): number;
  hb_blob_destroy(blob: number): void;
  hb_blob_get_data(blob: number, length: number): number;
  hb_blob_get_length(blob: number): number;
  hb_face_create(blob: number, index: number): number;
  hb_face_destroy(face: number): void;
  hb_face_reference_blob(face: number): number;
  hb_subset_input_create_or_fail(): number;
  hb_subset_input_destroy(input: number): void;
  hb_subset_input_keep_everything(input: number): void;
  hb_subset_input_pin_axis_location(input: number, face: number, axis: number, value: number): number;
  hb_subset_or_fail(face: number, input: number): number;
}
interface WebAssemblyApi {
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (module: object) => { readonly exports: unknown };
}

let opened: Subsetter | undefined;
function subsetter(): Subsetter {
  if (opened === undefined) {
    const { Module, Instance } = (globalThis as unknown as { WebAssembly: WebAssemblyApi }).WebAssembly;
    opened = new Instance(new Module(readFileSync(require.resolve("harfbuzzjs/dist/harfbuzz-subset.wasm")))).exports as Subsetter;
    opened._initialize();
  }
  return opened;
}

const readOnly = 1;
/** 'wght' as four bytes. */
const weightAxis = 0x77676874;

/** The same font with one weight only: pdfkit embeds the outlines of a file's first weight, whichever is asked for. */
function atWeight(bytes: Uint8Array, weight: number): Uint8Array {
  const hb = subsetter();
  const data = hb.malloc(bytes.length);
  new Uint8Array(hb.memory.buffer).set(bytes, data);
  const blob = hb.hb_blob_create(data, bytes.length, readOnly, 0, 0);
  const face = hb.hb_face_create(blob, 0);
  const input = hb.hb_subset_input_create_or_fail();
  hb.hb_subset_input_keep_everything(input);
  hb.hb_subset_input_pin_axis_location(input, face, weightAxis, weight);
  const pinned = hb.hb_subset_or_fail(face, input);
  hb.hb_subset_input_destroy(input);
  if (pinned === 0) throw new Error("a font could not be brought to one weight");
  const made = hb.hb_face_reference_blob(pinned);
  const from = hb.hb_blob_get_data(made, 0);
  const out = new Uint8Array(hb.memory.buffer).slice(from, from + hb.hb_blob_get_length(made));
  for (const one of [made, blob]) hb.hb_blob_destroy(one);
  for (const one of [pinned, face]) hb.hb_face_destroy(one);
  hb.free(data);
  return out;
}

function bytesOf(key: FontKey): Uint8Array {
  const { file, weight } = sourceOf(key);
  const read = new Uint8Array(readFileSync(file));
  if (weight === null) return read;
  const unpacked = unpacker.decompress(read);
  if (unpacked === false) throw new Error(`${file} could not be unpacked`);
  return atWeight(unpacked, weight);
}

/** Enough for a report with every name in another slice; a slice is some 60 KB. */
const mostOpen = 200;
const fonts = new Map<FontKey, OpenFont>();

/** Opens a font at its first letter and keeps it: nothing in it belongs to one report. */
export function openFont(key: FontKey): OpenFont {
  let font = fonts.get(key);
  if (font === undefined) {
    const bytes = bytesOf(key);
    const face = new Face(new Blob(bytes));
    font = { bytes, font: new Font(face), unitsPerEm: face.upem };
    remember(fonts, key, font, mostOpen);
  }
  return font;
}
