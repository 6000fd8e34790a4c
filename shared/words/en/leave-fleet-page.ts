// English of the forms by which a machine leaves the fleet and comes back.
export const leaveFleetPageWords = {
  "leave-fleet.title": "Out of the fleet",
  "leave-fleet.say": "It was sold or scrapped",
  "leave-fleet.how": "What became of it?",
  "leave-fleet.how.sold": "Sold",
  "leave-fleet.how.scrapped": "Scrapped",
  "leave-fleet.note": "Note, if any",
  "leave-fleet.follows":
    "{mark} leaves the board, the lists and the plan, and nobody is cleared to ride it. Its history stays, its open defects and papers as they stand, and its mark is free for another machine.",
  "leave-fleet.do.sold": "Record the sale",
  "leave-fleet.do.scrapped": "Record the scrapping",
  "leave-fleet.left": "{mark} is no longer a machine of this fleet.",
  "leave-fleet.bring-back": "It is here after all: bring it back",
  "leave-fleet.mark": "Registration mark",
  "leave-fleet.back-follows":
    "It is on the board again, with the defects and papers that it had, and a weekly inspection is due before its next ride. If another machine carries its mark by now, enter the one that it has.",
  "leave-fleet.bring-back.do": "Bring it back",
  "leave-fleet.back": "{mark} is a machine of the fleet again. A weekly inspection is due before its next ride.",
  "board.left": "Sold or scrapped",
  "board.left.none": "No machine was sold or scrapped.",
} as const;
