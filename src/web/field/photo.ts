// Makes a photo small enough for a poor mobile link. The service re-encodes it and removes everything but the picture.

/** Long enough for a crack or a worn tyre to be seen. */
const mostPx = 1920;

/** The picture as JPEG of at most `mostPx` on its longer side. Throws where this browser cannot read it as a picture. */
export async function shrink(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    const scale = Math.min(1, mostPx / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await new Promise<Blob>((resolve, reject) =>
      canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture came out"))), "image/jpeg", 0.85),
    );
  } finally {
    picture.close();
  }
}
