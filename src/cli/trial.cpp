// SPDX-License-Identifier: Apache-2.0
#include "cli/trial.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/next/sampling_plan.h"
#include "base/text.h"
#include "base/arguments.h"
#include "base/csv.h"
#include "ledger/season.h"
#include "stats/quantiles.h"

namespace nthtree::cli {
namespace {

using base::Error;
using base::Result;

constexpr std::size_t trees_least = 12;
constexpr std::size_t trees_most = 5000;  // each count is judged anew: a minute or so
constexpr double value_most = 5000;
constexpr std::int64_t first_ms = 1767225600000;  // 2026-01-01, any day will do
constexpr std::int64_t minute_ms = 60000;

// Row by row in order, or what is missing.
Result<Trial> arrange(const std::map<orchard::TreeAddress, double>& trees) {
  Trial trial;
  trial.block.id = "trial";
  trial.block.name = "trial";
  trial.block.spacing = {4, 2};
  int row = 0, tree = 0;
  for (const auto& [at, value] : trees) {
    const bool follows = at.row == row ? at.tree == tree + 1 : at.row == row + 1 && at.tree == 1;
    if (!follows) {
      return Error{"missing_tree", base::print("row %d tree %d does not follow row %d tree %d: "
                                               "every tree of every row is needed", at.row,
                                               at.tree, row, tree), ""};
    }
    if (at.row != row) trial.block.row_lengths.push_back(0);
    row = at.row;
    tree = ++trial.block.row_lengths.back();
    trial.values.push_back(value);
  }
  if (trial.values.size() < trees_least || trial.values.size() > trees_most) {
    return Error{"out_of_range", base::print("%zu trees: %zu to %zu are allowed",
                                             trial.values.size(), trees_least, trees_most), ""};
  }
  auto& lengths = trial.block.row_lengths;
  trial.block.rows = row;
  trial.block.trees_per_row = *std::max_element(lengths.begin(), lengths.end());
  const bool alike = std::all_of(lengths.begin(), lengths.end(),
                                 [&](int n) { return n == trial.block.trees_per_row; });
  if (alike) lengths.clear();
  const auto summary = stats::summarize(trial.values);
  if (!summary) return summary.error();
  trial.summary = *summary;
  return trial;
}

// Means and variances of the rows, for the laws that tie one to the other.
void laws_of(const Trial& trial, TrialStops& stops) {
  std::vector<double> means, variances;
  std::size_t from = 0;
  for (int row = 1; row <= trial.block.rows; ++row) {
    const auto n = static_cast<std::size_t>(trial.block.trees_in_row(row));
    const auto summary = stats::summarize(std::span(trial.values).subspan(from, n));
    from += n;
    if (!summary || n < 3) continue;
    means.push_back(summary->mean);
    variances.push_back(summary->variance);
  }
  if (const auto law = stats::fit_taylor_law(means, variances)) stops.taylor = *law;
  if (const auto law = stats::fit_iwao_law(means, variances)) stops.iwao = *law;
}

// A ledger of one farm, one block and one lead, record by record.
class OwnLedger {
 public:
  Result<bool> add(ledger::Body body) {
    ledger::Record record;
    record.id = {{1, 1}, ++sequence_};
    now_ms_ += minute_ms;
    record.stamp = {now_ms_, 0};
    record.clock_ms = now_ms_;
    record.author = "lead";
    record.body = std::move(body);
    const auto written = ledger::write_record(record);
    if (!written) return written.error();
    return season.apply(*written);
  }
  std::int64_t now_ms() const { return now_ms_; }

  ledger::Season season;

 private:
  std::uint64_t sequence_ = 0;
  std::int64_t now_ms_ = first_ms;
};

}  // namespace

Result<Trial> read_trial(std::string_view csv) {
  const auto rows = base::read_csv(csv, trees_most + 1);
  if (!rows) return rows.error();
  if (rows->empty()) return Error{"not_csv", "has no row of headings", ""};
  std::size_t column[3];
  const char* const names[3] = {"row", "tree", "value"};
  const double most[3] = {2000, 5000, value_most};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto found = std::find(rows->front().begin(), rows->front().end(), names[i]);
    if (found == rows->front().end()) {
      return Error{"missing_field", "the column is missing", names[i]};
    }
    column[i] = static_cast<std::size_t>(found - rows->front().begin());
  }
  std::map<orchard::TreeAddress, double> trees;
  for (std::size_t r = 1; r < rows->size(); ++r) {
    double read[3];
    for (std::size_t i = 0; i < 3; ++i) {
      const std::string cell = column[i] < (*rows)[r].size() ? (*rows)[r][column[i]] : "";
      const auto value = base::read_number(cell, i == 2 ? 0 : 1, most[i], "");
      if (!value || (i < 2 && *value != std::floor(*value))) {
        Error error = value ? Error{"not_whole", cell + " is not a whole number", ""}
                            : value.error();
        error.where = base::print("line %zu: %s", r + 1, names[i]);
        return error;
      }
      read[i] = *value;
    }
    const orchard::TreeAddress at{static_cast<int>(read[0]), static_cast<int>(read[1])};
    if (!trees.emplace(at, read[2]).second) {
      return Error{"doubled", base::print("row %d tree %d stands twice", at.row, at.tree),
                   base::print("line %zu", r + 1)};
    }
  }
  return arrange(trees);
}

TrialSample sample_of(const Trial& trial, int stride, int start) {
  TrialSample sample{stride, start, advice::tagged_trees(trial.block, stride, start), {}};
  for (std::size_t i = static_cast<std::size_t>(start) - 1; i < trial.values.size();
       i += static_cast<std::size_t>(stride)) {
    sample.values.push_back(trial.values[i]);
  }
  return sample;
}

TrialStops stops_of(const Trial& trial, const TrialSample& sample, double relative_half_width) {
  TrialStops stops;
  stops.precision = relative_half_width / stats::normal_quantile(0.95);
  laws_of(trial, stops);
  double total = 0;
  for (std::size_t i = 0; i < sample.values.size(); ++i) {
    total += sample.values[i];
    const double n = static_cast<double>(i + 1);
    const int trees = static_cast<int>(i + 1);
    if (trees < 2) continue;
    const auto green =
        stats::green_stop_line(stops.taylor.a, stops.taylor.b, stops.precision, n);
    if (green && stops.taylor.b < 2 && total >= *green && !stops.green_after) {
      stops.green_after = trees;
    }
    const auto kuno =
        stats::kuno_stop_line(stops.iwao.alpha, stops.iwao.beta, stops.precision, n);
    if (kuno && total >= *kuno && !stops.kuno_after) stops.kuno_after = trees;
  }
  return stops;
}

Result<TrialVerdict> verdict_run(const Trial& trial, const TrialSample& sample, double target,
                                 double tolerance) {
  OwnLedger own;
  ledger::FarmSettings farm;
  farm.name = "trial";
  orchard::Block block = trial.block;
  block.variety = "trial";
  block.target.fruits_per_tree = std::floor(target + 0.5);
  block.target.insurance_factor = 1;
  block.target.floral_fraction = 1;
  block.tolerance_fraction = tolerance;
  block.stride = std::min(1000, sample.stride);
  const ledger::Body settings[] = {
      farm, ledger::BlockSettings{block},
      ledger::PersonSettings{{"lead", "lead", orchard::Role::lead, true}}};
  for (const ledger::Body& body : settings) {
    const auto added = own.add(body);
    if (!added) return added.error();
  }
  TrialVerdict run;
  run.target = *block.target.fruits_per_tree;
  for (std::size_t i = 0; i < sample.trees.size(); ++i) {
    ledger::TagCount count;
    count.block = block.id;
    count.tree = sample.trees[i];
    count.spurs = static_cast<int>(std::floor(sample.values[i] + 0.5));
    const auto added = own.add(count);
    if (!added) return added.error();
    run.last = advice::verdict_of(own.season, block.id, "lead", own.now_ms());
    if (run.first_after == 0 && run.last.kind != advice::VerdictKind::count_more) {
      run.first = run.last;
      run.first_after = static_cast<int>(i + 1);
    }
  }
  run.acceptance = advice::accept_block(own.season, block.id, own.now_ms());
  return run;
}

Result<TrialStarts> verdicts_of_starts(const Trial& trial, int stride, double target,
                                       double tolerance) {
  TrialStarts starts;
  for (int start = 1; start <= stride; ++start) {
    const auto run = verdict_run(trial, sample_of(trial, stride, start), target, tolerance);
    if (!run) return run.error();
    switch (run->first.kind) {
      case advice::VerdictKind::harder: ++starts.harder; break;
      case advice::VerdictKind::lighter: ++starts.lighter; break;
      case advice::VerdictKind::on_target: ++starts.on_target; break;
      case advice::VerdictKind::count_more: ++starts.open; break;
    }
  }
  return starts;
}

}  // namespace nthtree::cli
