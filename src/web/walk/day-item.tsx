// The item of the day, asked by itself with its own two answers: the touch for a whole station does not answer it, and there is no button at the
// place where the thumb was.
import type { Ref } from "preact";
import type { Item } from "../../../shared/catalogue/types.ts";
import type { Features } from "../../../shared/contracts/machine-model.ts";
import { itemHow, itemName, itemPrompt } from "../../../shared/words/item-words.ts";
import { language, say } from "../frame/words.ts";

interface DayItemProps {
  readonly head: Ref<HTMLHeadingElement>;
  readonly item: Item;
  readonly features: Features;
  readonly onWell: () => void;
  readonly onSeen: () => void;
  readonly onBack: (() => void) | null;
}

export function DayItem({ head, item, features, onWell, onSeen, onBack }: DayItemProps) {
  return (
    <>
      <div class="day-item">
        <h1 ref={head} tabIndex={-1}>
          {itemName(item.id, language())}
        </h1>
        <p class="small">{say("walk.day.why")}</p>
        <p class="day-prompt">{itemPrompt(item.id, language())}</p>
        <div class="day-answers">
          <button type="button" onClick={onWell}>
            {say("walk.day.well")}
          </button>
          <button type="button" onClick={onSeen}>
            {say("walk.day.seen")}
          </button>
        </div>
        <p>{itemHow(item, features, language())}</p>
      </div>
      <div class="thumb">
        {onBack && (
          <button type="button" onClick={onBack}>
            {say("page.back")}
          </button>
        )}
      </div>
    </>
  );
}
