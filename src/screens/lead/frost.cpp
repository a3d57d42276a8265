// SPDX-License-Identifier: Apache-2.0
// After a cold night: floral buds cut open, alive or killed, and what that makes of the target.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "ledger/current.h"
#include "orchard/frost.h"
#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr const char* steps_field = "frost/steps";  // what was tapped, in order: "aaka"
constexpr char alive_step = 'a', killed_step = 'k';

int count_of(const std::string& steps, char step) {
  return static_cast<int>(std::count(steps.begin(), steps.end(), step));
}

std::string stage_text(const orchard::FrostStage& stage) {
  return tr(std::string("frost.stage.") + stage.name);
}

// Where the block was last said to be; green tip before anybody said.
int stage_index(const ledger::BlockSeason* block) {
  int bbch = 53;
  if (block) {
    for (const auto& entry : ledger::current(block->growth_stages)) bbch = entry.body.bbch;
    for (const auto& entry : ledger::current(block->frost_samples)) bbch = entry.body.bbch;
  }
  int index = 0, i = 0;
  for (const orchard::FrostStage& stage : orchard::frost_stages()) {
    if (stage.bbch <= bbch) index = i;
    ++i;
  }
  return index;
}

const orchard::FrostStage& stage_field(Frame& frame) {
  std::vector<std::string> names;
  for (const orchard::FrostStage& stage : orchard::frost_stages()) {
    names.push_back(stage_text(stage));
  }
  Form form(frame);
  const int chosen =
      form.folded_list("frost/stage", tr("frost.stage"), names, stage_index(frame.block()));
  const auto last = static_cast<int>(orchard::frost_stages().size()) - 1;
  return orchard::frost_stages()[static_cast<std::size_t>(std::clamp(chosen, 0, last))];
}

// What such a night does by the books: where to cut first, never a verdict on the buds.
void by_the_books(Frame& frame, const orchard::FrostStage& stage) {
  const bool fahrenheit = frame.season.farm().us_units;
  const orchard::Range range = fahrenheit ? orchard::Range{-40, 50} : orchard::Range{-40, 10};
  Form form(frame);
  const auto low = form.number({.id = "frost/low",
                                .label = tr("frost.low", {{"unit", fahrenheit ? "°F" : "°C"}}),
                                .range = range,
                                .decimals = 1,
                                .optional = true});
  if (!low) return;
  const double low_c = fahrenheit ? (*low - 32) / 1.8 : *low;
  paragraph(frame.ui, tr("frost.books", {{"n", of_100(orchard::share_killed(stage, low_c))}}));
}

void tally_key(Frame& frame, const std::string& steps, const char* id, char step) {
  const int taps =
      tally_pad(frame, id, tr(std::string("frost.") + id), count_of(steps, step));
  if (taps > 0) {
    frame.want(SetField{steps_field, steps + std::string(static_cast<std::size_t>(taps), step)});
  }
}

struct Sample {
  ledger::FrostSample body;
  bool ok = false;
};

Sample tally(Frame& frame, const orchard::FrostStage& stage) {
  const std::string steps = frame.typed(steps_field);
  Form form(frame);
  std::optional<double> row, tree;
  frame.ui.row({1, 1}, [&] {
    row = form.number(
        {.id = "frost/row", .label = tr("row"), .value = 1.0, .range = orchard::limits::rows});
  }, [&] {
    tree = form.number({.id = "frost/tree", .label = tr("tree"), .value = 1.0,
                        .range = orchard::limits::trees_per_row});
  });
  frame.ui.row({1, 1}, [&] { tally_key(frame, steps, "alive", alive_step); },
               [&] { tally_key(frame, steps, "killed", killed_step); });
  Sample sample;
  sample.body = {frame.block_id(),
                 {static_cast<int>(row.value_or(0)), static_cast<int>(tree.value_or(0))},
                 stage.bbch, count_of(steps, alive_step), count_of(steps, killed_step)};
  const ledger::BlockSeason* block = frame.block();
  const bool in_block = !block || !block->block || block->block->has(sample.body.tree);
  if (row && tree && !in_block) {
    notice(frame.ui, {.id = "no_tree", .tone = Tone::caution,
                      .text = tr("count.no_tree",
                                 {{"tree", tree_text(sample.body.tree)},
                                  {"rows", whole(block->block->rows)},
                                  {"trees", whole(block->block->trees_per_row)}})});
  }
  const double most = orchard::limits::buds_per_branch.high;
  sample.ok = row && tree && in_block && !steps.empty() && sample.body.alive <= most &&
              sample.body.killed <= most;
  return sample;
}

void what_it_means(Frame& frame, const advice::FrostAdvice& frost) {
  if (frost.target_now <= 0) return;
  fact(frame.ui, tr("frost.insurance"),
       widgets::number(frost.insurance_before, 2) + " → " +
           widgets::number(frost.insurance_now, 2));
  fact(frame.ui, tr("standing.target"), whole(frost.target_before) + " → " +
                                            whole(frost.target_now));
  switch (frost.what) {
    case advice::AfterFrost::stop_pruning:
      notice(frame.ui, {.id = "stop", .tone = Tone::trouble,
                        .text = tr("frost.stop", {{"n", whole(frost.unpruned_spurs.value)},
                                                  {"target", whole(frost.target_now)}})});
      break;
    case advice::AfterFrost::go_on:
      paragraph(frame.ui, tr("frost.go_on", {{"n", whole(frost.unpruned_spurs.value)},
                                             {"target", whole(frost.target_now)}}));
      break;
    case advice::AfterFrost::count_unpruned:
      if (notice(frame.ui, {.id = "unpruned", .tone = Tone::caution,
                            .text = tr("frost.count_unpruned"), .action = tr("lead.before")})) {
        frame.go(ScreenId::before_counts);
      }
      break;
  }
  small_print(frame.ui, tr("frost.as_insured"));
}

void result(Frame& frame) {
  const advice::FrostAdvice& frost =
      frame.cache.frost(frame.season, frame.block_id(), frame.now_ms());
  if (!frost.damage.known) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::bud, .text = tr("frost.empty")});
    return;
  }
  big_number(frame.ui, widgets::percent(frost.damage.alive.value), tr("frost.alive_share"));
  paragraph(frame.ui, tr("frost.range", {{"low", of_100(frost.damage.alive.low)},
                                         {"high", of_100(frost.damage.alive.high)},
                                         {"buds", whole(frost.damage.buds)},
                                         {"trees", whole(frost.damage.trees)}}));
  if (frost.damage.branches_more > 0) {
    small_print(frame.ui, tr_count("frost.more", frost.damage.branches_more));
  }
  what_it_means(frame, frost);
  heading(frame.ui, tr("frost.looked_at"));
  for (const auto& entry : ledger::current_newest_first(frame.block()->frost_samples)) {
    fact(frame.ui, tree_text(entry.body.tree) + ", " + time_text(frame.season, entry.at_ms()),
         tr("frost.row", {{"alive", whole(entry.body.alive)},
                          {"all", whole(entry.body.alive + entry.body.killed)}}));
  }
}

}  // namespace

void draw_frost(Frame& frame) {
  const std::string steps = frame.typed(steps_field);
  open(frame, {.key = "frost",
               .title = tr("frost.title"),
               .actions = {{.id = "keep", .label = tr("frost.keep"), .enabled = !steps.empty(),
                            .weight = 1.7f},
                           {.id = "undo", .label = tr("buds.undo"), .kind = Kind::quiet,
                            .enabled = !steps.empty()}}});
  save_state(frame);
  Sample sample;
  const auto enter = [&] {
    const orchard::FrostStage& stage = stage_field(frame);
    sample = tally(frame, stage);
    by_the_books(frame, stage);
    small_print(frame.ui, tr("frost.text"));
  };
  side_by_side(frame, enter, [&] { result(frame); });
  if (frame.bar.action == "undo" && !steps.empty()) {
    frame.want(SetField{steps_field, steps.substr(0, steps.size() - 1)});
  }
  if (frame.bar.action == "keep" && sample.ok) {
    SaveRecords save;
    save.bodies = {sample.body};
    frame.want(save);
    frame.want(SetField{steps_field, ""});
  }
  finish(frame);
}

}  // namespace nthtree::screens
