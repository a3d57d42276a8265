// SPDX-License-Identifier: Apache-2.0
#include "advice/next/next_tree.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "advice/internal/next_tree_model.h"
#include "stats/systematic.h"

namespace nthtree::advice {
namespace {

constexpr double surprise_sds = 2.2;     // one steady count in 36 lies as far out
constexpr int counts_to_settle = 3;      // close together until then
constexpr double trees_to_verdict = 60;  // about half a day of one pruner
constexpr double counting_share_most = 0.2;  // of the working time
constexpr double seconds_a_count_default = 120, seconds_a_tree_default = 240;
constexpr int walk_back_most = 400;

// Never a stride that comes back to the same places of every row: the next wider one that does not,
// or the next closer one where the floor forbids that. However many trees this person will count,
// so every place of the row is asked for.
int step_off_row_length(int stride, int stride_most, const orchard::Block& block) {
  const auto row = static_cast<std::size_t>(std::max(1, block.trees_per_row));
  const auto good = [&](int candidate) {
    return candidate == 1 ||
           !stats::visits_few_places(static_cast<std::size_t>(candidate), row, row);
  };
  for (int wider = stride; wider <= stride_most; ++wider) {
    if (good(wider)) return wider;
  }
  while (!good(stride)) --stride;
  return stride;
}

struct Times {
  double count = seconds_a_count_default, tree = seconds_a_tree_default;
};

Times times_of(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  double seconds = 0, counts = 0, minutes = 0, trees = 0;
  for_current(block.work_spells, cut_ms, [&](const auto& entry) {
    minutes += entry.body.minutes;
    trees += entry.body.trees;
  });
  const auto& tags = block.tag_counts;  // the last fifty are enough
  for (std::size_t i = tags.size() > 50 ? tags.size() - 50 : 0; i < tags.size(); ++i) {
    if (!ledger::is_current(tags[i]) || tags[i].body.seconds <= 0) continue;
    seconds += tags[i].body.seconds;
    counts += 1;
  }
  Times times;
  if (counts > 0) times.count = seconds / counts;
  if (trees > 0 && minutes > 0) times.tree = 60 * minutes / trees;
  return times;
}

struct Choice {
  double stride = 50;
  const char* why = "next_steady";
};

Choice choose(const Standing& standing, const Verdict& verdict, const Settings& settings) {
  const double wide = std::min<double>(settings.stride_floor, 2.0 * settings.stride);
  const double close = std::clamp(settings.stride / 5.0, 3.0, 20.0);
  if (standing.counts == 0 && standing.counts_before == 0) return {close, "next_first"};
  if (standing.after_advice && standing.counts < counts_to_settle) {
    return {close, "next_after_advice"};
  }
  if (standing.last_is_far || std::fabs(standing.last_surprise) > surprise_sds) {
    return {close, "next_surprise"};
  }
  if (standing.counts < counts_to_settle && standing.effective_counts < counts_to_settle) {
    return {close, "next_new_pruner"};
  }
  if (verdict.kind == VerdictKind::count_more) {
    const double spread_out = trees_to_verdict / std::max(1.0, verdict.expected_more_trees);
    return {std::clamp(spread_out, close, std::max<double>(close, settings.stride)),
            "next_undecided"};
  }
  if (verdict.kind == VerdictKind::on_target) {
    return {wide, wide >= settings.stride_floor ? "next_floor" : "next_steady"};
  }
  return {static_cast<double>(settings.stride), "next_steady"};
}

struct Walk {
  bool down = false;
  int row_step = 1;
};

// Trees that this person counted, whole or in part, the latest first.
std::vector<orchard::TreeAddress> last_trees(const ledger::BlockSeason& block,
                                             const std::string& person) {
  std::vector<std::pair<ledger::FoldPosition, orchard::TreeAddress>> counted;
  const auto look_back = [&](const auto& entries) {
    int looked = 0;
    for (auto it = entries.rbegin(); it != entries.rend() && looked < walk_back_most;
         ++it, ++looked) {
      if (!ledger::is_current(*it) || it->author != person) continue;
      counted.emplace_back(it->position, it->body.tree);
    }
  };
  look_back(block.tag_counts);
  look_back(block.part_counts);
  std::sort(counted.rbegin(), counted.rend(),
            [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<orchard::TreeAddress> trees;
  for (const auto& [place, tree] : counted) trees.push_back(tree);
  return trees;
}

// How this person goes through the block, from their last counts.
Walk walk_of(const ledger::BlockSeason& block, const std::string& person,
             const orchard::TreeAddress& from) {
  Walk walk;
  bool has_direction = false;
  orchard::TreeAddress later = from;
  for (const orchard::TreeAddress& tree : last_trees(block, person)) {
    if (tree == later) continue;
    if (tree.row == later.row) {
      if (!has_direction) walk.down = tree.tree > later.tree;
      has_direction = true;
    } else {
      walk.row_step = later.row - tree.row;
      if (!has_direction) walk.down = false;
      break;
    }
    later = tree;
  }
  return walk;
}

void place(const orchard::Block& block, const Walk& walk, const orchard::TreeAddress& from,
           NextTree& next) {
  int row = from.row, tree = from.tree, left = next.trees_ahead;
  bool down = walk.down;
  for (int rows = 0; rows <= block.rows && row >= 1 && row <= block.rows; ++rows) {
    const int room = down ? tree - 1 : block.trees_in_row(row) - tree;
    if (left <= room) {
      next.tree = {row, down ? tree - left : tree + left};
      next.same_row = row == from.row;
      next.walks_down = down;
      return;
    }
    left -= room;
    row += walk.row_step;
    down = !down;  // back along the next row
    tree = down ? block.trees_in_row(row) + 1 : 0;
  }
  next.same_row = false;
}

}  // namespace

NextTree stride_for(const BlockContext& context, const Standing& standing,
                    const Verdict& verdict) {
  NextTree next;
  const Choice choice = choose(standing, verdict, context.settings);
  const Times times = times_of(*context.block, context.cut_ms);
  // Counting is work too: no more than a fifth of the time goes into it.
  const double least = times.count / (counting_share_most * std::max(1.0, times.tree));
  const double most = std::max<double>(context.settings.stride_floor, 1);
  const double wanted = std::clamp(choice.stride, std::min(least, most), most);
  next.stride = std::max(1, static_cast<int>(std::lround(wanted)));
  if (context.block->block) {
    next.stride = step_off_row_length(next.stride, static_cast<int>(most), *context.block->block);
  }
  next.expected_more_trees = verdict.expected_more_trees;
  next.reason = {choice.why, {{"stride", static_cast<double>(next.stride)},
                              {"more", std::ceil(verdict.expected_more_trees)}}};
  return next;
}

NextTree next_tree_in(const BlockContext& context, const std::string& person,
                      orchard::TreeAddress from) {
  const Standing standing = context.standing_of(person);
  NextTree next = stride_for(context, standing, judge(standing, context.settings));
  next.trees_ahead = next.stride;
  if (context.block->block && context.block->block->has(from)) {
    place(*context.block->block, walk_of(*context.block, person, from), from, next);
    next.due = next.tree;
    next.tree = context.planting().count_instead(next.due, next.walks_down);
    next.same_row = next.tree.row == from.row;
  }
  return next;
}

NextTree next_tree(const ledger::Season& season, const std::string& block,
                   const std::string& person, orchard::TreeAddress from, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  return next_tree_in(make_context(season, *found, now_ms, cut_for(season, now_ms)), person, from);
}

int stride_of(const ledger::Season& season, const std::string& block, const std::string& person,
              std::int64_t now_ms) {
  return next_tree(season, block, person, {}, now_ms).stride;
}

}  // namespace nthtree::advice
