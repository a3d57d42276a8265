// SPDX-License-Identifier: Apache-2.0
// After some limbs of a tree were counted: what the tree comes to, what to write on the tag, how
// the pruner stands. Of one tree it says little, so no tree is told to take more from it.
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

struct Told {
  bool known = false, is_check = false;
  ledger::LimbCounts counted;
};

Told told_here(const Frame& frame) {
  const orchard::TreeAddress tree = frame.session.here().tree;
  if (const auto& practised = frame.session.practised; practised && practised->is_part()) {
    return {true, practised->purpose == CountPurpose::part_check,
            {practised->draw, practised->limbs, practised->seconds()}};
  }
  const LastSave& save = frame.session.last_save;
  if (const auto* check = std::get_if<ledger::PartCheck>(&save.body);
      check && check->tree == tree) {
    return {true, true, check->counted};
  }
  if (const auto* part = std::get_if<ledger::PartCount>(&save.body); part && part->tree == tree) {
    return {true, false, part->counted};
  }
  const ledger::BlockSeason* block = frame.block();
  const PartEntry* entry = block ? part_of(*block, tree, frame.session.person) : nullptr;
  return entry ? Told{true, false, entry->body.counted} : Told{};
}

void tree_part(Frame& frame, const Told& told) {
  save_state(frame);
  if (!told.known) return paragraph(frame.ui, tr("entry.gone"));
  const std::string spurs = whole(told.counted.on_tree());
  big_number(frame.ui, spurs, tr("part.tree", {{"n", whole(told.counted.draw.limbs)}}));
  const orchard::Person* me = frame.me();
  frame.ui.open_card();
  small_print(frame.ui, tr("tree.tag"));
  strong_line(frame.ui,
              tr("part.tag_line",
                 {{"n", spurs},
                  {"limbs", whole(static_cast<double>(told.counted.limbs.size()))},
                  {"name", me ? person_text(frame.season, me->id) : ""},
                  {"date", date_text(frame.today())}}));
  frame.ui.close_card(frame.ui.theme().card);
}

// The same limbs twice: the tree by each.
void check_part(Frame& frame, const Told& told) {
  const ledger::BlockSeason* block = frame.block();
  const PartEntry* entry = block ? part_of(*block, frame.session.here().tree) : nullptr;
  if (!entry) return;
  heading(frame.ui, person_text(frame.season, entry->author));
  fact(frame.ui, tr("check.tag"), whole(entry->body.counted.on_tree()));
  fact(frame.ui, tr("check.you"), whole(told.counted.on_tree()));
}

}  // namespace

void draw_part_told(Frame& frame) {
  const Told told = told_here(frame);
  open(frame, {.key = "part_told", .title = tree_text(frame.session.here().tree),
               .actions = {{.id = "next", .label = tr("done")}}});
  const auto tree = [&] {
    tree_part(frame, told);
    if (told.is_check) check_part(frame, told);
  };
  const auto person = [&] {
    if (told.is_check) return;
    heading(frame.ui, tr("you.title"));
    verdict_here(frame, "you",
                 frame.cache.verdict(frame.season, frame.block_id(), frame.session.person,
                                     frame.now_ms()),
                 true, true);
    const advice::NextTree& next = next_tree_of(frame, frame.session.person);
    if (next.tree.row > 0) fact(frame.ui, tr("home.next"), tree_text(next.tree));
  };
  side_by_side(frame, tree, person);
  if (frame.bar.action == "next") frame.want(Home{});
  finish(frame);
}

}  // namespace nthtree::screens
