// SPDX-License-Identifier: Apache-2.0
// One saved count: correct its number or its tree, or take it back. All are new records; nothing is
// erased.
#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/doubt.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

double number_limit(const ledger::Body& body) {
  const auto* bloom = std::get_if<ledger::ReturnBloom>(&body);
  return bloom ? bloom->spurs : orchard::limits::spurs_per_tree.high;
}

// A count of an exercise keeps its number to itself: it can be taken back and made anew.
bool is_blind(const ledger::Body& body) {
  return std::holds_alternative<ledger::ExerciseCount>(body);
}

void facts(Frame& frame, const CountLine& line, const ledger::Body& body) {
  if (is_blind(body))
    heading(frame.ui, tr(line.kind_key));
  else
    big_number(frame.ui, whole(line.number), tr(line.kind_key));
  fact(frame.ui, block_text(frame.season, line.block), tree_text(line.tree));
  small_print(frame.ui, tr("entry.by", {{"name", person_text(frame.season, line.author)},
                                        {"time", time_text(frame.season, line.at_ms)}}));
  if (const auto* tag = std::get_if<ledger::TagCount>(&body); tag && tag->spurs_after_mend) {
    small_print(frame.ui, tr("entry.mended", {{"n", whole(*tag->spurs_after_mend)}}));
  }
  if (line.corrected) pill(frame.ui, tr("entry.corrected"), Tone::plain);
  if (line.withdrawn) pill(frame.ui, tr("entry.taken_back"), Tone::caution);
}

std::optional<int> typed_number(Form& form, const std::string& id, const char* label, int value,
                                orchard::Range range) {
  const auto typed = form.number({.id = id,
                                  .label = tr(label),
                                  .value = static_cast<double>(value),
                                  .range = range});
  return typed ? std::optional<int>(static_cast<int>(*typed)) : std::nullopt;
}

// The tree as it is typed now; rows and trees are those of the block, where it is known.
std::optional<orchard::TreeAddress> typed_tree(Frame& frame, Form& form, const std::string& id,
                                               const CountLine& line) {
  const ledger::BlockSeason* season = frame.season.block(line.block);
  const orchard::Block* block = season && season->block ? &*season->block : nullptr;
  const auto upto = [](int most) { return orchard::Range{1, static_cast<double>(most)}; };
  std::optional<int> row, tree;
  frame.ui.row(
      {1, 1},
      [&] {
        row = typed_number(form, id + "/row", "row", line.tree.row,
                           block ? upto(block->rows) : orchard::limits::rows);
      },
      [&] {
        const int in_row = row.value_or(line.tree.row);
        tree = typed_number(form, id + "/tree", "tree", line.tree.tree,
                            block ? upto(block->trees_in_row(in_row))
                                  : orchard::limits::trees_per_row);
      });
  if (!row || !tree) return std::nullopt;
  return orchard::TreeAddress{*row, *tree};
}

void keep(Frame& frame, const CountLine& line, ledger::Body body) {
  SaveRecords save;
  save.replaces = line.id;
  save.from = SaveRecords::From::fields;
  save.bodies = {std::move(body)};
  frame.want(save);
}

// What stands in the fields, where all of them are right.
struct Typed {
  int number = 0;
  std::optional<int> second;  // after taking more
  orchard::TreeAddress tree;
  friend bool operator==(const Typed&, const Typed&) = default;
};

Typed typed_of(const CountLine& line, const ledger::Body& body) {
  const auto* tag = std::get_if<ledger::TagCount>(&body);
  return {line.number, tag ? tag->spurs_after_mend : std::nullopt, line.tree};
}

std::optional<Typed> fields(Frame& frame, const CountLine& line, const ledger::Body& body) {
  Form form(frame);
  const std::string id = "entry/" + line.id.text();
  const Typed stands = typed_of(line, body);
  const orchard::Range range{0, number_limit(body)};
  const auto number = typed_number(form, id, "entry.number", stands.number, range);
  std::optional<int> second;
  if (stands.second) {
    second = typed_number(form, id + "/second", "entry.number_second", *stands.second, range);
  }
  const auto tree = typed_tree(frame, form, id, line);
  if (frame.bar.action == "keep" && !form.ok()) form.show_wrong();
  if (!form.ok() || !number || !tree) return std::nullopt;
  return Typed{*number, second, *tree};
}

ledger::Body changed(const ledger::Body& body, const Typed& was, const Typed& now) {
  ledger::Body out = on_tree(now.number == was.number ? body : corrected(body, now.number),
                             now.tree);
  if (auto* tag = std::get_if<ledger::TagCount>(&out)) tag->spurs_after_mend = now.second;
  return out;
}

void take_keep(Frame& frame, const CountLine& line, const ledger::Body& body, const Typed& now) {
  const Typed was = typed_of(line, body);
  const ledger::Body out = changed(body, was, now);
  const advice::CountDoubt doubt = doubt_about(frame, out, now.number);
  // A number that was odd before is not asked about again because its tree is corrected.
  const bool asks = now.number != was.number && doubt.why != advice::CountDoubt::Why::none;
  if (frame.bar.action == "keep") {
    if (now == was) return frame.want(Back{});
    asks ? frame.want(Ask{"odd"}) : keep(frame, line, out);
  }
  if (odd_number_accepted(frame, doubt, now.number, tr("entry.keep"))) keep(frame, line, out);
}

ledger::LimbCounts* limbs_in(ledger::Body& body) {
  if (auto* part = std::get_if<ledger::PartCount>(&body)) return &part->counted;
  if (auto* check = std::get_if<ledger::PartCheck>(&body)) return &check->counted;
  if (auto* seen = std::get_if<ledger::PartClusters>(&body)) return &seen->counted;
  return nullptr;
}

// A count of some limbs is corrected limb by limb: its tree follows.
void limb_correction(Frame& frame, const CountLine& line, ledger::Body body) {
  ledger::LimbCounts* counted = limbs_in(body);
  Form form(frame);
  for (std::size_t i = 0; i < counted->limbs.size(); ++i) {
    const int limb = counted->draw.limb(static_cast<int>(i));
    const auto typed = form.number({.id = "entry/" + line.id.text() + "/" + std::to_string(limb),
                                    .label = tr("part.limb", {{"n", whole(limb)}}),
                                    .value = static_cast<double>(counted->limbs[i]),
                                    .range = orchard::limits::spurs_per_tree});
    if (typed) counted->limbs[i] = static_cast<int>(*typed);
  }
  if (frame.bar.action != "keep") return;
  if (!form.ok()) return form.show_wrong();
  keep(frame, line, std::move(body));
}

void ask_to_take_back(Frame& frame, const CountLine& line, bool blind) {
  const std::string tree = tree_in_text(line.tree);
  const std::string text =
      blind ? tr("exercise.take_back_question", {{"tree", tree}})
            : tr("entry.take_back_question", {{"n", whole(line.number)}, {"tree", tree}});
  if (!asked(frame, "take_back", tr("entry.take_back"), text, tr("entry.take_back"), tr("no"))) {
    return;
  }
  keep(frame, line, ledger::Withdrawal{});
}

}  // namespace

void draw_entry(Frame& frame) {
  const std::string& record = frame.session.here().record;
  const CountLine line = count_line(frame.season, record);
  const ledger::Body body = body_of(frame.season, record);
  const bool there = line.id.sequence > 0;
  const bool open_entry = there && !line.withdrawn;
  const bool blind = is_blind(body);
  std::vector<widgets::Action> actions;
  if (open_entry && !blind) {
    actions.push_back({.id = "keep", .label = keep_label(frame, tr("entry.keep"))});
  }
  open(frame, {.key = "entry", .title = tr("entry.title"), .actions = actions});
  const auto what = [&] {
    there ? facts(frame, line, body) : paragraph(frame.ui, tr("entry.gone"));
  };
  std::optional<Typed> now;
  const auto changes = [&] {
    ledger::Body copy = body;
    if (open_entry && limbs_in(copy)) {
      limb_correction(frame, line, body);
    } else if (open_entry && !blind) {
      now = fields(frame, line, body);
    }
    if (open_entry && button(frame.ui, {.id = "take_back", .label = tr("entry.take_back"),
                                        .kind = Kind::danger})) {
      frame.want(Ask{"take_back"});
    }
  };
  side_by_side(frame, what, changes);
  finish(frame);
  ask_to_take_back(frame, line, blind);
  if (now) take_keep(frame, line, body, *now);
}

}  // namespace nthtree::screens
