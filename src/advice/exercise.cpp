// SPDX-License-Identifier: Apache-2.0
#include "advice/exercise.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/live.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

using Cell = std::vector<double>;                             // one person, one tree, in order
using Table = std::map<std::string, std::map<std::string, Cell>>;  // person, tree

constexpr double pool_above_p = 0.25;  // AIAG: interaction is dropped above this
constexpr double z_95 = 1.959963984540054;  // two-sided 95 %, as ISO 5725-6 has it

Table collect(const ledger::Season& season, const std::string& id, int& all) {
  Table table;
  for (const auto& [key, block] : season.blocks()) {
    const std::string& block_id = key;  // clang 14 cannot capture a structured binding
    for_live(block.exercise_counts, always, [&](const auto& entry) {
      if (entry.body.exercise != id) return;
      const std::string tree =
          block_id + "/" + std::to_string(tree_key(entry.body.tree));
      table[entry.author][tree].push_back(entry.body.spurs);
      ++all;
    });
  }
  return table;
}

// Trees that everybody counted at least twice.
std::set<std::string> common_trees(const Table& table) {
  std::map<std::string, std::size_t> held;
  for (const auto& [person, trees] : table) {
    for (const auto& [tree, cell] : trees) held[tree] += cell.size() >= 2 ? 1 : 0;
  }
  std::set<std::string> common;
  for (const auto& [tree, people] : held) {
    if (people == table.size()) common.insert(tree);
  }
  return common;
}

// Drops the person with the fewest usable trees until the rest is complete.
std::set<std::string> complete_part(Table& table) {
  while (table.size() >= 2) {
    const auto common = common_trees(table);
    if (common.size() >= 2) return common;
    const auto fewest = std::min_element(table.begin(), table.end(),
                                         [](const auto& a, const auto& b) {
      const auto usable = [](const auto& trees) {
        return std::count_if(trees.begin(), trees.end(),
                             [](const auto& cell) { return cell.second.size() >= 2; });
      };
      return usable(a.second) < usable(b.second);
    });
    table.erase(fewest);
  }
  return {};
}

struct Sums {
  double people = 0, trees = 0, interaction = 0, repeat = 0;
};

struct Design {
  double o = 0, p = 0, r = 0;  // people, trees, rounds
};

Sums sums_of_squares(const Table& table, const std::set<std::string>& trees, int rounds,
                     Exercise& result) {
  const auto first = [&](const Cell& cell) {
    double sum = 0;
    for (int i = 0; i < rounds; ++i) sum += cell[static_cast<std::size_t>(i)];
    return sum / rounds;
  };
  std::map<std::string, double> by_person, by_tree;
  const double o = static_cast<double>(table.size()), p = static_cast<double>(trees.size());
  for (const auto& [person, cells] : table) {
    for (const std::string& tree : trees) {
      const double mean = first(cells.at(tree));
      by_person[person] += mean / p;
      by_tree[tree] += mean / o;
      result.mean += mean / (o * p);
    }
  }
  Sums sums;
  for (const auto& [person, mean] : by_person) {
    sums.people += p * rounds * (mean - result.mean) * (mean - result.mean);
  }
  for (const auto& [tree, mean] : by_tree) {
    sums.trees += o * rounds * (mean - result.mean) * (mean - result.mean);
  }
  for (const auto& [person, cells] : table) {
    ExercisePerson row{person, by_person[person], 1, 0};
    double own = 0;
    for (const std::string& tree : trees) {
      const Cell& cell = cells.at(tree);
      const double mean = first(cell);
      const double gap = mean - by_person[person] - by_tree[tree] + result.mean;
      sums.interaction += rounds * gap * gap;
      for (int i = 0; i < rounds; ++i) {
        const double e = cell[static_cast<std::size_t>(i)] - mean;
        own += e * e;
      }
    }
    sums.repeat += own;
    row.repeat_sd = std::sqrt(own / (p * (rounds - 1)));
    if (result.mean > 0) row.ratio_to_all = row.mean / result.mean;
    result.by_person.push_back(row);
  }
  return sums;
}

// Variance components of the two-way random model (AIAG 4th ed., appendix A).
void components(const Sums& sums, const Design& n, Exercise& result) {
  const double df_people = n.o - 1, df_trees = n.p - 1;
  const double df_interaction = df_people * df_trees, df_repeat = n.o * n.p * (n.r - 1);
  const double ms_people = sums.people / df_people, ms_trees = sums.trees / df_trees;
  const double ms_interaction = sums.interaction / df_interaction;
  const double ms_repeat = sums.repeat / df_repeat;
  if (ms_repeat > 0) {
    result.f_interaction = ms_interaction / ms_repeat;
    result.p_interaction = stats::f_upper(result.f_interaction, df_interaction, df_repeat);
  }
  result.interaction_pooled = result.p_interaction > pool_above_p;
  const double df_pooled = df_interaction + df_repeat;
  const double pooled = (sums.interaction + sums.repeat) / df_pooled;
  const double error = result.interaction_pooled ? pooled : ms_interaction;
  const double repeat = result.interaction_pooled ? pooled : ms_repeat;
  const double df_error = result.interaction_pooled ? df_pooled : df_interaction;
  if (error > 0) {
    result.f_people = ms_people / error;
    result.p_people = stats::f_upper(result.f_people, df_people, df_error);
  }
  const double people = at_least_zero((ms_people - error) / (n.p * n.r));
  const double trees = at_least_zero((ms_trees - error) / (n.o * n.r));
  const double interaction =
      result.interaction_pooled ? 0 : at_least_zero((ms_interaction - ms_repeat) / n.r);
  result.repeatability_sd = std::sqrt(repeat);
  result.people_sd = std::sqrt(people);
  result.interaction_sd = std::sqrt(interaction);
  result.reproducibility_sd = std::sqrt(people + interaction);
  result.tree_sd = std::sqrt(trees);
  const double gauge = repeat + people + interaction;
  if (gauge + trees > 0) result.gauge_share = std::sqrt(gauge / (gauge + trees));
  result.same_person_limit = z_95 * std::sqrt(2 * repeat);
  result.two_people_limit = z_95 * std::sqrt(2 * gauge);
}

}  // namespace

std::vector<std::string> exercises(const ledger::Season& season) {
  std::set<std::string> ids;
  for (const auto& [id, block] : season.blocks()) {
    for_live(block.exercise_counts, always,
             [&](const auto& entry) { ids.insert(entry.body.exercise); });
  }
  return {ids.begin(), ids.end()};
}

Exercise exercise(const ledger::Season& season, const std::string& id) {
  Exercise result;
  int all = 0;
  Table table = collect(season, id, all);
  result.people = static_cast<int>(table.size());
  result.left_out = all;
  const std::set<std::string> trees = complete_part(table);
  if (trees.empty()) return result;
  std::size_t rounds = 1000;
  for (const auto& [person, cells] : table) {
    for (const std::string& tree : trees) rounds = std::min(rounds, cells.at(tree).size());
  }
  result.complete = true;
  result.people = static_cast<int>(table.size());
  result.trees = static_cast<int>(trees.size());
  result.rounds = static_cast<int>(rounds);
  result.left_out = all - result.people * result.trees * result.rounds;
  const Sums sums = sums_of_squares(table, trees, result.rounds, result);
  components(sums, {static_cast<double>(result.people), static_cast<double>(result.trees),
                    static_cast<double>(result.rounds)}, result);
  return result;
}

}  // namespace nthtree::advice
