// SPDX-License-Identifier: Apache-2.0
#include "advice/known/rows_pruned.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "advice/internal/current.h"
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

const std::string& pruner_of(const ledger::RowDone& done, const std::string& author) {
  return done.person.empty() ? author : done.person;
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

  // What is logged and these too, as parts and doubts.
  RowsPruned with(const std::vector<ledger::RowDone>& rows, const std::string& author) {
    take_logged();
    for (const ledger::RowDone& done : rows) take(done, author, now_ms_);
    find_doubts();
    return std::move(out_);
  }
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
    for_current(block_.rows_done, now_ms_, [&](const auto& entry) {
      take(entry.body, entry.author, entry.at_ms());
    });
    out_.rows_logged = static_cast<int>(logged_.size());
  }

  void take(const ledger::RowDone& done, const std::string& author, std::int64_t written_ms) {
    const int length = block_.block->trees_in_row(done.row);
    const std::string person = pruner_of(done, author);
    if (length == 0) {
      out_.doubts.push_back(
          {.kind = RowDoubt::Kind::no_such_row, .row = done.row, .person = person});
      return;
    }
    RowPart part{.row = done.row,
                 .first_tree = std::min(done.first_tree.value_or(1), length),
                 .last_tree = std::min(done.last_tree.value_or(length), length),
                 .side = done.side,
                 .person = person,
                 .at_ms = moment_of(season_, done.day, written_ms)};
    part.trees = trees_in(part);
    logged_.insert(done.row);
    out_.parts.push_back(std::move(part));
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
        out_.doubts.push_back({.kind = RowDoubt::Kind::row_twice,
                               .row = part.row,
                               .person = other.person,
                               .other_person = part.person});
      }
      out_.trees_logged += std::max(0.0, part.trees - again);
    }
    for (const auto& [who, trees] : a_day) {
      if (trees <= trees_a_day_most) continue;
      out_.doubts.push_back({.kind = RowDoubt::Kind::too_many_trees,
                             .person = who.first,
                             .trees = trees,
                             .day = who.second});
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
    for_current(block_.tag_counts, now_ms_, note);
    for_current(block_.part_counts, now_ms_, note);
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

// The whole of it, or both sides, as somebody logged it.
bool is_pruned(const RowsPruned& rows, int row, int length) {
  double trees = 0;
  for (const RowPart& part : rows.parts) {
    if (part.row != row || part.inferred) continue;
    trees += (part.last_tree - part.first_tree + 1) * (part.side ? 0.5 : 1.0);
  }
  return trees >= length;
}

// The row ends of one person, the latest last.
std::vector<RowPart> ends_of(const RowsPruned& rows, const std::string& person) {
  std::vector<RowPart> ends;
  for (const RowPart& part : rows.parts) {
    if (part.person == person && !part.inferred) ends.push_back(part);
  }
  std::stable_sort(ends.begin(), ends.end(),
                   [](const RowPart& a, const RowPart& b) { return a.at_ms < b.at_ms; });
  return ends;
}

// Rows on from one row's end to the next of the same person: one or two, either way.
int step_of(const std::vector<RowPart>& ends) {
  for (std::size_t i = ends.size(); i-- > 1;) {
    const int step = ends[i].row - ends[i - 1].row;
    if (step != 0) return std::abs(step) <= 2 ? step : 1;
  }
  return 1;
}

// Row ends of a person before now, in any block, entered on the day itself: the latest.
struct EarlierEnd {
  std::string block;
  int row = 0;
  std::int64_t at_ms = 0;
};
EarlierEnd last_end_of(const ledger::Season& season, const std::string& person,
                       std::int64_t now_ms) {
  EarlierEnd last;
  for (const auto& held : season.blocks()) {
    for_current(held.second.rows_done, now_ms, [&](const auto& entry) {
      const bool late = !entry.body.day.empty();
      if (late || pruner_of(entry.body, entry.author) != person) return;
      if (entry.at_ms() > last.at_ms) last = {held.first, entry.body.row, entry.at_ms()};
    });
  }
  return last;
}

// The same matter: a day that was too much already is not asked about at each further row.
bool alike(const RowDoubt& a, const RowDoubt& b) {
  return std::tie(a.kind, a.row, a.person, a.other_person, a.day) ==
         std::tie(b.kind, b.row, b.person, b.other_person, b.day);
}

std::optional<RowDoubt> too_fast(const ledger::Season& season, const RowPart& part,
                                 const std::string& author, const ledger::RowDone& done,
                                 std::int64_t now_ms) {
  // Somebody else's rows and late ones are entered together.
  if (part.person != author || !done.day.empty()) return std::nullopt;
  const EarlierEnd before = last_end_of(season, part.person, now_ms);
  if (before.at_ms == 0 || season.day_of(before.at_ms) != season.day_of(now_ms)) {
    return std::nullopt;
  }
  const double hours = static_cast<double>(now_ms - before.at_ms) / 3600e3;
  if (part.trees <= trees_an_hour_most * hours) return std::nullopt;
  return RowDoubt{.kind = RowDoubt::Kind::too_fast,
                  .row = part.row,
                  .person = part.person,
                  .trees = part.trees / std::max(hours, 1.0 / 60),
                  .other_block = before.block,
                  .other_row = before.row,
                  .minutes = 60 * hours};
}

}  // namespace

int row_at_hand(const RowsPruned& rows, const ledger::BlockSeason& block,
                const std::string& person, std::int64_t now_ms) {
  if (!block.block) return 0;
  const auto open = [&](int row) {
    const int length = block.block->trees_in_row(row);
    return length > 0 && !is_pruned(rows, row, length);
  };
  const std::vector<RowPart> ends = ends_of(rows, person);
  const std::int64_t since_ms = ends.empty() ? 0 : ends.back().at_ms;
  int counted = 0;
  for_current(block.tag_counts, now_ms, [&](const auto& entry) {
    if (entry.author == person && entry.at_ms() > since_ms) counted = entry.body.tree.row;
  });
  if (open(counted)) return counted;
  const int step = step_of(ends);
  for (int row = ends.empty() ? 0 : ends.back().row; row > 0 && row <= block.block->rows;) {
    row += step;
    if (open(row)) return row;
  }
  for (int row = 1; row <= block.block->rows; ++row) {
    if (open(row)) return row;
  }
  return 0;
}

std::vector<RowDoubt> doubts_before(const ledger::Season& season,
                                    const std::vector<ledger::RowDone>& rows,
                                    const std::string& author, std::int64_t now_ms) {
  const ledger::BlockSeason* found = rows.empty() ? nullptr : season.block(rows.front().block);
  if (!found || !found->block) return {};
  const RowsPruned before = RowLog(season, *found, now_ms).read();
  const RowsPruned with = RowLog(season, *found, now_ms).with(rows, author);
  std::vector<RowDoubt> doubts;
  for (const RowDoubt& doubt : with.doubts) {
    const bool is_new = std::none_of(before.doubts.begin(), before.doubts.end(),
                                     [&](const RowDoubt& old) { return alike(old, doubt); });
    if (is_new) doubts.push_back(doubt);
  }
  // Several at once are entered after the work.
  if (rows.size() > 1 || found->block->trees_in_row(rows.front().row) == 0) return doubts;
  if (auto fast = too_fast(season, with.parts.back(), author, rows.front(), now_ms)) {
    doubts.push_back(*fast);
  }
  return doubts;
}

RowsPruned rows_pruned(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return {};
  return RowLog(season, *found, now_ms).read();
}

}  // namespace nthtree::advice
