// SPDX-License-Identifier: Apache-2.0
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/explain/steps.h"
#include "cli/season_files.h"

namespace nthtree::cli {

const char* const explain_help =
    "usage: nthtree explain BLOCK --ledger FOLDER_OR_FILE [--at TIME] [--skip-bad]\n"
    "One block's whole reasoning, step by step, each formula with its numbers filled in, to check\n"
    "with a pencil: trees, fruits, flowering spurs, buds, target, what is to come off, when,\n"
    "which trees are counted, what people miss, how trees differ, when enough are counted, each\n"
    "pruner's standing and verdict, the block, time and money; later an exercise, the second\n"
    "pass, and what the season taught.\n"
    "\n"
    "  --ledger     ledger files: a folder of *.jsonl, or one file\n"
    "  --at TIME    2026-02-04 (the end of that day), 2026-02-04T12:00 (the farm's own time) or\n"
    "               2026-02-04T20:00Z (UTC); the last record where not given\n"
    "  --skip-bad   tells bad records on standard error and goes on without them\n"
    "\n"
    "  nthtree explain b1 --ledger scenarios/oxbow_lantern --at 2026-02-04\n"
    "\n"
    "In formulas: whole() rounds half up; ln and exp are natural; max and min take the larger and\n"
    "the smaller; T(x; df) is Student's cumulative distribution, t(p; df) its quantile, z(p) the\n"
    "normal one, N(x) the normal cumulative distribution (any table has them).\n"
    "Printed numbers have six digits.\n";

Outcome explain_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--ledger", true}, {"--at", true}, {"--skip-bad", false}}, 1, 1);
  if (!arguments) return refused(arguments.error());
  if (!arguments->has("--ledger")) {
    return refused("--ledger: is missing: a folder or file of records is needed");
  }
  const auto farm = farm_asked_for(*arguments, {arguments->value("--ledger")});
  if (!farm) return refused(farm.error());

  const std::string& id = arguments->rest[0];
  const ledger::BlockSeason* block = farm->season.block(id);
  if (!block) {
    std::string known;
    for (const auto& [name, there] : farm->season.blocks()) {
      known += (known.empty() ? "" : ", ") + name;
    }
    return refused("BLOCK: \"" + id + "\" is not known at that time: allowed are " +
                   (known.empty() ? "none, there is no block yet" : known));
  }
  const auto target = advice::block_target(*block);
  if (!target) return refused(target.error());

  const ExplainedBlock it{&*farm, block, *target};
  Worksheet sheet;
  explain_goal(it, sheet);
  explain_floral(it, sheet);
  explain_target(it, sheet);
  explain_unpruned(it, sheet);
  explain_when(it, sheet);
  explain_plan(it, sheet);
  explain_counting(it, sheet);
  explain_exercises(it, sheet);
  explain_spread(it, sheet);
  explain_double_sampling(it, sheet);
  explain_standings(it, sheet);
  explain_block(it, sheet);
  explain_pace(it, sheet);
  explain_second_pass(it, sheet);
  explain_learning(it, sheet);

  return {exit_good,
          block->id + " " + block->block->name + ", " + block->block->variety + ", as of " +
              farm_time(farm->season, farm->now_ms) + "\n" + notes_text(*farm) + sheet.text() +
              "\nAdvice is decision support: the lead decides.\n",
          skipped_text(farm->skipped)};
}

}  // namespace nthtree::cli
