// Which items of a station have been in view: nobody may say that all is well with an item that was never on the screen.
import { useEffect, useRef, useState } from "preact/hooks";

/** Where an item lies between the top of the screen and what covers its foot; what is beyond `top` or `foot` is not seen. */
export interface Band {
  readonly top: number;
  readonly foot: number;
}

/** Which ends of an item have been in view. Both have to be, together or one after the other, since an item may be as tall as the screen. */
export interface Ends {
  readonly head: boolean;
  readonly foot: boolean;
}

// A tolerance in pixels: browsers place boxes at fractions of a pixel.
const hair = 1.5;

export function endsInView(item: Band, screen: Band): Ends {
  const within = (edge: number): boolean => edge >= screen.top - hair && edge <= screen.foot + hair;
  return { head: within(item.top), foot: within(item.foot) };
}

export interface Unseen {
  readonly count: number;
  /** the first of them lies above what is shown */
  readonly above: boolean;
}

/** The part of the page that is on the screen, and not under the bar at its foot. */
function screenNow(bar: Element | null): Band {
  const seen = window.visualViewport;
  const top = seen?.offsetTop ?? 0;
  const foot = top + (seen?.height ?? innerHeight);
  return { top, foot: bar === null ? foot : Math.min(foot, bar.getBoundingClientRect().top) };
}

/**
 * Watches the elements of a station's items, each with its item in `data-item`, and returns which have not been in view yet; null until it has
 * looked. An item that had the focus counts too, for users of a keyboard or a screen reader. `known`: items that need not be looked at.
 */
export function useItemsSeen(known: (itemId: string) => boolean) {
  const list = useRef<HTMLUListElement>(null);
  const bar = useRef<HTMLDivElement>(null);
  const seen = useRef(new Map<string, Ends>());
  const [unseen, setUnseen] = useState<Unseen | null>(null);

  const look = useRef<() => void>(() => undefined);
  look.current = () => {
    // What lies behind a dialog, or on a page that is out of sight, is not looked at.
    if (document.visibilityState !== "visible" || document.querySelector("dialog[open]") !== null) return;
    const screen = screenNow(bar.current);
    let count = 0;
    let above = false;
    for (const element of list.current?.querySelectorAll<HTMLElement>("[data-item]") ?? []) {
      const id = element.dataset["item"] ?? "";
      const { top, bottom } = element.getBoundingClientRect();
      const had = seen.current.get(id);
      const now = endsInView({ top, foot: bottom }, screen);
      const enough = element === document.activeElement || known(id);
      const ends = { head: enough || now.head || had?.head === true, foot: enough || now.foot || had?.foot === true };
      seen.current.set(id, ends);
      if (ends.head && ends.foot) continue;
      // The direction to the first item that is left: to its end that has not been in view.
      if (count === 0) above = (ends.head ? bottom : top) < screen.top;
      count += 1;
    }
    setUnseen((before) => (before?.count === count && before.above === above ? before : { count, above }));
  };

  useEffect(() => {
    let frame: number | null = null;
    // In the next frame: the page begins each station at its top, and lays it out before that.
    const soon = () => {
      frame ??= requestAnimationFrame(() => {
        frame = null;
        look.current();
      });
    };
    soon();
    const size = new ResizeObserver(soon);
    for (const element of [list.current, bar.current]) if (element) size.observe(element);
    const moves: [EventTarget | null, string[]][] = [
      [window, ["scroll", "resize"]],
      [window.visualViewport, ["scroll", "resize"]],
      [document, ["focusin", "visibilitychange"]],
    ];
    for (const [target, kinds] of moves) for (const kind of kinds) target?.addEventListener(kind, soon, { passive: true });
    return () => {
      if (frame !== null) cancelAnimationFrame(frame);
      size.disconnect();
      for (const [target, kinds] of moves) for (const kind of kinds) target?.removeEventListener(kind, soon);
    };
  }, []);
  return { list, bar, unseen };
}
