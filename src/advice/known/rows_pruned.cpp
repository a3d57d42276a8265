// SPDX-License-Identifier: Apache-2.0
#include "advice/known/rows_pruned.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/internal/live.h"
#include "base/text.h"

namespace nthtree::advice {
namespace {

constexpr std::int64_t half_a_day_ms = 12LL * 3600 * 1000;

// Noon at the farm of a day that was named, for what is entered late.
std::int64_t moment_of(const ledger::Season& season, const std::string& day,
                       std::int64_t written_ms) {
  std::int64_t midnight_ms = 0;
  if (day.empty() || !base::parse_iso(day, midnight_ms)) return written_ms;
  return season.time_zone().moment_of(midnight_ms + half_a_day_ms);
}

bool overlap(const RowPart& a, const RowPart& b) {
  const bool apart_by_side = a.side && b.side && *a.side != *b.side;
  return a.row == b.row && !apart_by_side && a.first_tree <= b.last_tree &&
         b.first_tree <= a.last_tree;
}

class RowLog {
 public:
  RowLog(const ledger::Season& season, const ledger::BlockSeason& block, std::int64_t now_ms)
      : season_(season), block_(block), now_ms_(now_ms), planting_(planting_of(block, now_ms)) {}

  RowsPruned read() {
    take_logged();
    find_doubts();
    infer();
    std::sort(out_.parts.begin(), out_.parts.end(), [](const RowPart& a, const RowPart& b) {
      return std::tie(a.row, a.first_tree, a.at_ms, a.person) <
             std::tie(b.row, b.first_tree, b.at_ms, b.person);
    });
    find_next_row();
    return std::move(out_);
  }

 private:
  void take_logged() {
    for_live(block_.rows_done, now_ms_, [&](const auto& entry) {
      const ledger::RowDone& done = entry.body;
      const int length = block_.block->trees_in_row(done.row);
      const std::string person = done.person.empty() ? entry.author : done.person;
      if (length == 0) {
        out_.doubts.push_back({RowDoubt::Kind::no_such_row, done.row, person, {}, 0, 0});
        return;
      }
      RowPart part{.row = done.row,
                   .first_tree = std::min(done.first_tree.value_or(1), length),
                   .last_tree = std::min(done.last_tree.value_or(length), length),
                   .side = done.side,
                   .person = person,
                   .at_ms = moment_of(season_, done.day, entry.at_ms())};
      part.trees = trees_in(part);
      logged_.insert(done.row);
      out_.parts.push_back(std::move(part));
    });
    out_.rows_logged = static_cast<int>(logged_.size());
  }

  double trees_in(const RowPart& part) const {
    return planting_.bearing_between(part.row, part.first_tree, part.last_tree) *
           (part.side ? 0.5 : 1.0);
  }

  void find_doubts() {
    std::map<std::pair<std::string, std::int64_t>, double> a_day;
    for (std::size_t i = 0; i < out_.parts.size(); ++i) {
      const RowPart& part = out_.parts[i];
      a_day[{part.person, season_.day_of(part.at_ms)}] += part.trees;
      double again = 0;
      for (std::size_t j = 0; j < i; ++j) {
        const RowPart& other = out_.parts[j];
        if (!overlap(part, other)) continue;
        again = std::max(again, std::min(part.trees, other.trees));
        out_.doubts.push_back(
            {RowDoubt::Kind::row_twice, part.row, other.person, part.person, 0, 0});
      }
      out_.trees_logged += std::max(0.0, part.trees - again);
    }
    for (const auto& [who, trees] : a_day) {
      if (trees <= trees_a_day_most) continue;
      out_.doubts.push_back(
          {RowDoubt::Kind::too_many_trees, 0, who.first, {}, trees, who.second});
    }
  }

  // Rows with counts, each with who counted there first and when.
  std::map<int, std::vector<RowPart>> counted_rows() const {
    std::map<int, std::vector<RowPart>> rows;
    const auto note = [&](const auto& entry) {
      const int row = entry.body.tree.row;
      const int length = block_.block->trees_in_row(row);
      if (length == 0 || logged_.contains(row)) return;
      std::vector<RowPart>& parts = rows[row];
      for (RowPart& part : parts) {
        if (part.person != entry.author) continue;
        part.at_ms = std::min(part.at_ms, entry.at_ms());
        return;
      }
      parts.push_back({.row = row, .last_tree = length, .person = entry.author,
                       .at_ms = entry.at_ms(), .inferred = true});
    };
    for_live(block_.tag_counts, now_ms_, note);
    for_live(block_.part_counts, now_ms_, note);
    for (auto& held : rows) {
      std::stable_sort(held.second.begin(), held.second.end(),
                       [](const RowPart& a, const RowPart& b) { return a.at_ms < b.at_ms; });
    }
    return rows;
  }

  // Rows that one stride of trees may reach from a counted one.
  int reach() const {
    const double row = std::max(1, block_.block->trees_per_row);
    const double stride = std::max(block_.block->stride, block_.block->stride_floor);
    return static_cast<int>(std::ceil(stride / row));
  }

  void infer() {
    const auto rows = counted_rows();
    for (int row = 1; row <= block_.block->rows && !rows.empty(); ++row) {
      if (logged_.contains(row) || block_.block->trees_in_row(row) == 0) continue;
      const auto after = rows.lower_bound(row);
      const bool here = after != rows.end() && after->first == row;
      // Between counted rows only: what lies beyond the last one may not be pruned yet.
      if (!here && (after == rows.end() || after == rows.begin())) continue;
      const auto before = here ? after : std::prev(after);
      const auto nearer = row - before->first <= after->first - row ? before : after;
      if (std::abs(nearer->first - row) > reach()) continue;
      add_inferred(row, nearer->second);
    }
  }

  // Several people counted in one row: each is given an equal share of it, from its first tree on.
  void add_inferred(int row, const std::vector<RowPart>& like) {
    const int length = block_.block->trees_in_row(row);
    const int people = static_cast<int>(like.size());
    for (int i = 0; i < people; ++i) {
      RowPart part = like[static_cast<std::size_t>(i)];
      part.row = row;
      part.first_tree = 1 + length * i / people;
      part.last_tree = length * (i + 1) / people;
      part.trees = trees_in(part);
      if (part.last_tree >= part.first_tree) out_.parts.push_back(std::move(part));
    }
    ++out_.rows_inferred;
  }

  void find_next_row() {
    std::set<int> touched;
    for (const RowPart& part : out_.parts) touched.insert(part.row);
    for (int row = 1; row <= block_.block->rows; ++row) {
      if (touched.contains(row) || planting_.bearing_in_row(row) == 0) continue;
      out_.next_row = row;
      return;
    }
  }

  const ledger::Season& season_;
  const ledger::BlockSeason& block_;
  std::int64_t now_ms_;
  Planting planting_;
  std::set<int> logged_;
  RowsPruned out_;
};

}  // namespace

RowsPruned rows_pruned(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return {};
  return RowLog(season, *found, now_ms).read();
}

}  // namespace nthtree::advice
