// Draws a report on a thread: plain data in, the bytes of a PDF out. Only the PDF engine is imported here, so that a thread loads nothing else
// of the service.
import { drawPdf, type ReportDocument } from "../pdf/index.ts";

export async function drawWhole(paper: ReportDocument): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of drawPdf(withBuffers(paper))) chunks.push(chunk as Uint8Array);
  return Buffer.concat(chunks);
}

/** Buffers arrive on a thread as plain arrays of bytes; drawing pictures needs buffers again. */
const withBuffers = ({ blocks, ...rest }: ReportDocument): ReportDocument => ({
  ...rest,
  blocks: blocks.map((block) =>
    block.kind === "pictures"
      ? {
          ...block,
          pictures: block.pictures.map((picture) =>
            typeof picture.shown === "string"
              ? picture
              : {
                  ...picture,
                  shown: {
                    ...picture.shown,
                    bytes: Buffer.from(picture.shown.bytes.buffer, picture.shown.bytes.byteOffset, picture.shown.bytes.byteLength),
                  },
                },
          ),
        }
      : block,
  ),
});
