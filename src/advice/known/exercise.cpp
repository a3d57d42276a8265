// SPDX-License-Identifier: Apache-2.0
#include "advice/known/exercise.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/internal/current.h"
#include "stats/limits_of_agreement.h"

namespace nthtree::advice {
namespace {

using Cell = std::vector<double>;                             // one person, one tree, in order
using Table = std::map<std::string, std::map<std::string, Cell>>;  // person, tree

constexpr double z_95 = 1.959963984540054;  // two-sided 95 %, as ISO 5725-6 has it

Table collect(const ledger::Season& season, const std::string& id, int& all) {
  Table table;
  for (const auto& [key, block] : season.blocks()) {
    const std::string& block_id = key;  // clang 14 cannot capture a structured binding
    for_current(block.exercise_counts, always, [&](const auto& entry) {
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

// Tree by tree, person by person, the first `rounds` counts each.
std::vector<stats::GaugeReading> readings_of(const Table& table,
                                             const std::set<std::string>& trees,
                                             std::size_t rounds) {
  std::vector<stats::GaugeReading> readings;
  std::size_t person = 0;
  for (const auto& [id, cells] : table) {
    std::size_t place = 0;
    for (const std::string& tree : trees) {
      const Cell& cell = cells.at(tree);
      for (std::size_t i = 0; i < rounds; ++i) readings.push_back({place, person, cell[i]});
      ++place;
    }
    ++person;
  }
  return readings;
}

// Of one person: the mean, and what own rounds on the same tree differ by.
ExercisePerson summary_of(const std::string& person, const std::map<std::string, Cell>& cells,
                          const std::set<std::string>& trees, std::size_t rounds) {
  ExercisePerson row{.person = person};
  const double n = static_cast<double>(trees.size()), r = static_cast<double>(rounds);
  double squares = 0;
  for (const std::string& tree : trees) {
    const Cell& cell = cells.at(tree);
    double sum = 0;
    for (std::size_t i = 0; i < rounds; ++i) sum += cell[i];
    row.mean += sum / r / n;
    for (std::size_t i = 0; i < rounds; ++i) squares += (cell[i] - sum / r) * (cell[i] - sum / r);
  }
  row.repeat_sd = std::sqrt(squares / (n * (r - 1)));
  return row;
}

double mean_of(const Cell& cell, std::size_t rounds) {
  double sum = 0;
  for (std::size_t i = 0; i < rounds; ++i) sum += cell[i];
  return sum / static_cast<double>(rounds);
}

// One person's trees, a first count each, against the others' means.
void fill_limits(const Table& table, const std::set<std::string>& trees, std::size_t rounds,
                 ExercisePerson& row) {
  std::vector<double> own, others;
  for (const std::string& tree : trees) {
    double sum = 0;
    for (const auto& [person, cells] : table) {
      if (person != row.person) sum += mean_of(cells.at(tree), rounds);
    }
    own.push_back(table.at(row.person).at(tree)[0]);
    others.push_back(sum / static_cast<double>(table.size() - 1));
  }
  const auto limits = stats::limits_of_agreement(own, others);
  row.has_limits = static_cast<bool>(limits);
  if (!limits) return;
  row.limit_low = limits->low;
  row.limit_high = limits->high;
}

void take(const stats::GaugeStudy& study, Exercise& result) {
  result.study = study;
  result.f_interaction = study.interaction.f;
  result.p_interaction = study.interaction.p_value;
  result.interaction_pooled = study.pooled;
  result.f_people = study.operator_line.f;
  result.p_people = study.operator_line.p_value;
  result.repeatability_sd = std::sqrt(study.repeatability);
  result.people_sd = std::sqrt(study.operator_variance);
  result.interaction_sd = std::sqrt(study.interaction_variance);
  result.reproducibility_sd = std::sqrt(study.reproducibility);
  result.tree_sd = std::sqrt(study.part_variance);
  result.gauge_share = study.percent_study / 100;
  result.same_person_limit = z_95 * std::sqrt(2 * study.repeatability);
  result.two_people_limit = z_95 * std::sqrt(2 * study.gauge);
}

}  // namespace

std::vector<std::string> exercises_in(const ledger::BlockSeason& block) {
  std::set<std::string> ids;
  for_current(block.exercise_counts, always,
              [&](const auto& entry) { ids.insert(entry.body.exercise); });
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
  for (const auto& [person, cells] : table) {
    result.by_person.push_back(summary_of(person, cells, trees, rounds));
    result.mean += result.by_person.back().mean / result.people;
  }
  for (ExercisePerson& row : result.by_person) {
    if (result.mean > 0) row.ratio_to_all = row.mean / result.mean;
    fill_limits(table, trees, rounds, row);
  }
  const auto study = stats::gauge_study(readings_of(table, trees, rounds));
  if (study) take(*study, result);
  return result;
}

}  // namespace nthtree::advice
