// Whether this browser reads codes with the camera: asked before any of what does so is fetched.
interface Detector {
  detect(source: HTMLVideoElement): Promise<{ readonly rawValue: string }[]>;
}
declare global {
  // The Barcode Detection API is not in TypeScript's own declarations.
  var BarcodeDetector: (new (options: { formats: string[] }) => Detector) | undefined;
}

export const canScan = (): boolean => globalThis.BarcodeDetector !== undefined && navigator.mediaDevices !== undefined;
