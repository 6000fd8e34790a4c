// The photos of a defect or a fall, each with the way to the whole picture.
import type { HungPhoto } from "../../../shared/contracts/photos.ts";
import { say, sayMoment } from "../frame/words.ts";

export function Photos({ photos }: { readonly photos: readonly HungPhoto[] }) {
  if (photos.length === 0) return null;
  return (
    <ul class="list photos">
      {photos.map(({ id, href, addedAt, widthPx, heightPx }) => (
        <li key={id}>
          <a href={href} target="_blank" rel="noopener">
            <img src={href} width={widthPx} height={heightPx} loading="lazy" alt={say("bench.photo", { at: sayMoment(addedAt) })} />
          </a>
        </li>
      ))}
    </ul>
  );
}
