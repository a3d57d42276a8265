// SPDX-License-Identifier: Apache-2.0
// Scores by eye: one large dial, one tap a tree, before any count of it. A pruner scores their own
// trees; a lead walks past the trees of many pruners, the tagged ones among them.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <string>

#include "ledger/current.h"
#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/typed_number.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// Of the target: an eighth apart, which is finer than any eye.
constexpr std::array<double, 12> dial = {0.45, 0.55, 0.67, 0.8, 0.9, 1.0,
                                         1.12, 1.25, 1.4,  1.6, 1.9, 2.3};
constexpr double target_unknown = 200;
constexpr int step_usual = 3;
constexpr std::int64_t look_most_ms = 60000;  // longer is a talk or a row's end

int number_of(const Frame& frame, const char* name, int otherwise) {
  const std::string text = frame.typed(name);
  int value = 0;
  for (const char digit : text) {
    if (digit < '0' || digit > '9') return otherwise;
    value = 10 * value + (digit - '0');
    if (value > 5000) return otherwise;
  }
  return text.empty() ? otherwise : value;
}

struct Walk {
  std::string person;  // whose trees
  orchard::TreeAddress tree;
  int step = step_usual;
};

Walk walk_here(const Frame& frame) {
  Walk walk;
  walk.person = frame.typed("walk/person", frame.session.here().person);
  const orchard::TreeAddress at = frame.session.here().tree;
  walk.tree = {number_of(frame, "walk/row", std::max(1, at.row)),
               number_of(frame, "walk/tree", std::max(1, at.tree))};
  walk.step = std::max(1, number_of(frame, "walk/step", step_usual));
  return walk;
}

void set(Frame& frame, const char* name, int value) {
  frame.want(SetField{name, std::to_string(value)});
}

bool counted_by(const ledger::BlockSeason& block, const std::string& person,
                const orchard::TreeAddress& tree) {
  const auto in = [&](const auto& entries) {
    return std::any_of(entries.begin(), entries.end(), [&](const auto& entry) {
      return ledger::is_current(entry) && entry.author == person && entry.body.tree == tree;
    });
  };
  return in(block.tag_counts) || in(block.part_counts) || in(block.check_counts) ||
         in(block.part_checks);
}

// What stands against a score here, in words; empty where nothing does.
std::string problem_of(const Frame& frame, const Walk& walk) {
  const ledger::BlockSeason* block = frame.block();
  if (!block || !block->block) return tr("home.no_target");
  if (!block->block->has(walk.tree)) {
    return no_tree_text(*block->block, walk.tree);
  }
  if (walk.person.empty()) return tr("eye.whose_first");
  if (counted_by(*block, frame.session.person, walk.tree)) {
    return tr("eye.counted_already", {{"tree", tree_text(walk.tree)}});
  }
  return "";
}

// On along the row, to the next one at its end.
orchard::TreeAddress further(const orchard::Block& block, const Walk& walk) {
  orchard::TreeAddress tree = walk.tree;
  tree.tree += walk.step;
  while (tree.row < block.rows && tree.tree > block.trees_in_row(tree.row)) {
    tree.tree -= std::max(1, block.trees_in_row(tree.row));
    ++tree.row;
  }
  return tree;
}

// Since the last score, to the nearest second; 0 where that was no look after a look.
int seconds_since_last(const Frame& frame) {
  const std::string last = frame.typed("walk/at");
  if (last.empty()) return 0;
  const std::int64_t ms = frame.now_ms() - std::strtoll(last.c_str(), nullptr, 10);
  return ms > 0 && ms <= look_most_ms ? static_cast<int>((ms + 500) / 1000) : 0;
}

// Where the score was asked for by a count, back to it.
bool is_before_count(const Frame& frame) {
  const auto& stack = frame.session.stack;
  return stack.size() > 1 && stack[stack.size() - 2].screen == ScreenId::count;
}

void keep_score(Frame& frame, const Walk& walk, int spurs) {
  SaveRecords save;
  const bool own = walk.person == frame.session.person;
  save.bodies = {ledger::EyeScore{frame.block_id(), walk.tree, own ? "" : walk.person, spurs,
                                  seconds_since_last(frame)}};
  frame.want(save);
  if (is_before_count(frame)) return frame.want(Back{});
  frame.want(SetField{"walk/at", std::to_string(frame.now_ms())});
  const orchard::TreeAddress next = further(*frame.settings(), walk);
  set(frame, "walk/row", next.row);
  set(frame, "walk/tree", next.tree);
}

void whose_row(Frame& frame, const Walk& walk) {
  if (frame.session.here().person == frame.session.person) return;  // one's own trees
  std::vector<widgets::ChoiceRow> rows;
  std::vector<std::string> people;
  int chosen = -1;
  for (const auto& [id, person] : frame.season.people()) {
    if (person.role != orchard::Role::pruner || !person.active) continue;
    if (id == walk.person) chosen = static_cast<int>(rows.size());
    rows.push_back({.id = "whose/" + id, .label = person_text(frame.season, id)});
    people.push_back(id);
  }
  const bool is_open = walk.person.empty() || frame.session.asking == "whose";
  if (!is_open) {
    if (choice_row(frame.ui, {.id = "whose", .label = person_text(frame.season, walk.person),
                              .trailing = tr("change"), .arrow = false,
                              .glyph = Glyph::person})) {
      frame.want(Ask{"whose"});
    }
    return;
  }
  const int now = radio_list(frame.ui, {.id = "whose_list", .label = tr("eye.whose"),
                                        .items = rows, .selected = chosen});
  if (now != chosen && now >= 0) {
    frame.want(SetField{"walk/person", people[static_cast<std::size_t>(now)]});
    frame.want(Ask{});
  }
}

void tree_steppers(Frame& frame, const Walk& walk) {
  const orchard::Block* block = frame.settings();
  const double rows = block ? block->rows : orchard::limits::rows.high;
  const double trees =
      block ? block->trees_in_row(walk.tree.row) : orchard::limits::trees_per_row.high;
  if (const int moved = stepper(frame.ui, {.id = "row", .label = tr("row"),
                                           .value = static_cast<double>(walk.tree.row),
                                           .minimum = 1, .maximum = rows})) {
    set(frame, "walk/row", std::max(1, walk.tree.row + moved));
  }
  if (const int moved = stepper(frame.ui, {.id = "place", .label = tr("tree"),
                                           .value = static_cast<double>(walk.tree.tree),
                                           .minimum = 1, .maximum = trees})) {
    set(frame, "walk/tree", std::max(1, walk.tree.tree + moved));
  }
  if (const int moved = stepper(frame.ui, {.id = "step", .label = tr("eye.every"),
                                           .value = static_cast<double>(walk.step),
                                           .minimum = 1, .maximum = 50})) {
    set(frame, "walk/step", std::max(1, walk.step + moved));
  }
}

int spurs_at(double target, std::size_t place) {
  return static_cast<int>(5 * std::lround(target * dial[place] / 5));
}

// Twelve large fields in the order of the numbers: one tap and on. The target's own is like the
// others: a number that stands out draws the eye's score to it.
void dial_part(Frame& frame, const Walk& walk, bool enabled) {
  const advice::BlockTarget* found = frame.cache.target(frame.season, frame.block_id());
  const double target =
      found ? found->target.spurs_to_leave_per_tree.value : target_unknown;
  const auto cell = [&](std::size_t place) {
    const int spurs = std::max(1, spurs_at(target, place));
    if (button(frame.ui, {.id = "see/" + std::to_string(place), .label = whole(spurs),
                          .kind = Kind::quiet,
                          .enabled = enabled, .height = frame.ui.theme().target + 12})) {
      keep_score(frame, walk, spurs);
    }
  };
  for (std::size_t place = 0; place < dial.size(); place += 3) {
    frame.ui.row({1, 1, 1}, [&] { cell(place); }, [&] { cell(place + 1); },
                 [&] { cell(place + 2); });
  }
}

// The last score, and the way to take it back.
void last_score(Frame& frame) {
  const LastSave& save = frame.session.last_save;
  const auto* score = std::get_if<ledger::EyeScore>(&save.body);
  if (!score) return;
  small_print(frame.ui, tr("eye.kept", {{"tree", tree_text(score->tree)},
                                        {"n", whole(score->spurs)}}));
  if (!save.record) return;
  if (button(frame.ui, {.id = "take_back", .label = tr("entry.take_back"), .kind = Kind::quiet})) {
    SaveRecords back;
    back.bodies = {ledger::Withdrawal{}};
    back.replaces = save.record;
    frame.want(back);
    set(frame, "walk/row", score->tree.row);
    set(frame, "walk/tree", score->tree.tree);
  }
}

// How good the eye is, to the one who scores; nobody is ranked by it.
void eye_line(Frame& frame) {
  const advice::Eye& eye =
      frame.cache.eye(frame.season, frame.block_id(), frame.session.person, frame.now_ms());
  const double pairs = eye.pairs + eye.pairs_borrowed;
  const auto seen = [](double correlation) { return of_100(correlation * correlation); };
  const char* key = eye.counts                               ? "eye.good"
                    : pairs < advice::eye_pairs_needed ? "eye.learning"
                                                             : "eye.poor";
  small_print(frame.ui, tr(key, {{"n", whole(eye.pairs)},
                                 {"needed", whole(advice::eye_pairs_needed)},
                                 {"share", seen(eye.correlation)},
                                 {"least", seen(advice::eye_correlation_needed)}}));
}

}  // namespace

void draw_walk(Frame& frame) {
  const Walk walk = walk_here(frame);
  const bool own = frame.session.here().person == frame.session.person;
  open(frame, {.key = "walk", .title = tr(own ? "eye.title" : "eye.walk")});
  const std::string problem = problem_of(frame, walk);
  const auto where = [&] {
    whose_row(frame, walk);
    heading(frame.ui, tree_text(walk.tree));
    if (!problem.empty()) {
      notice(frame.ui, {.id = "problem", .tone = Tone::caution, .text = problem, .live = true});
    }
  };
  const auto what = [&] {
    const bool begun = std::holds_alternative<ledger::EyeScore>(frame.session.last_save.body);
    if (!begun) small_print(frame.ui, tr("eye.what"));
    dial_part(frame, walk, problem.empty());
    last_score(frame);
    eye_line(frame);
    tree_steppers(frame, walk);
  };
  side_by_side(frame, where, what);
  finish(frame);
}

}  // namespace nthtree::screens
