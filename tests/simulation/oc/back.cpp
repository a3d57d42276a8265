// SPDX-License-Identifier: Apache-2.0
#include "back.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "advice/next/going_back.h"
#include "base/random.h"
#include "base/text.h"
#include "ledger/season.h"

namespace nthtree::oc {
namespace {

constexpr std::int64_t block_first_ms = 1770015600000;  // 2026-02-02, seven in the morning
constexpr double unpruned_times_target = 2.2;

struct BackHand {
  std::string name;
  double level = 0;
  int drifts_at = 1 << 20;  // own row from which on it drifts
  int rows = 0;             // pruned so far
};

class BackBlock {
 public:
  BackBlock(const BackPlan& plan, std::uint64_t seed) : plan_(plan), random_(seed) {
    set_up();
    prune();
    recount();
  }

  BackRun run() {
    BackRun out;
    for (const auto& row : spurs_) {
      for (const double spurs : row) out.out_over += spurs > band_high();
    }
    const std::vector<int> list = rows_of_list(out);
    const double hours = hours_of(list);
    out.trips[0] = walk(list, hours);
    std::vector<int> all(static_cast<std::size_t>(plan_.rows));
    for (int row = 0; row < plan_.rows; ++row) all[static_cast<std::size_t>(row)] = row;
    out.trips[2] = walk(all, hours);
    for (std::size_t i = all.size(); i > 1; --i) std::swap(all[i - 1], all[random_.below(i)]);
    out.trips[1] = walk(all, hours);
    out.trips[3] = to_counted(hours);
    return out;
  }

 private:
  void write(const std::string& author, std::uint64_t phone, std::int64_t at_ms,
             ledger::Body body) {
    ledger::Record record;
    record.id = {{1, phone}, ++sequences_[phone]};
    record.stamp = {at_ms, ++tick_};
    record.clock_ms = at_ms;
    record.author = author;
    record.body = std::move(body);
    season_.apply(record);
    now_ms_ = std::max(now_ms_, at_ms);
  }

  void set_up() {
    ledger::FarmSettings farm;
    farm.wage_per_hour = plan_.wage;
    farm.hand_thinning_fruitlets_per_hour = plan_.fruitlets_an_hour;
    write("lead", 99, block_first_ms - 2, farm);
    write("lead", 99, block_first_ms - 1,
          ledger::PersonSettings{{"lead", "Lead", orchard::Role::lead, true}});
    ledger::BlockSettings settings;
    settings.block.id = settings.block.name = "b1";
    settings.block.variety = "Gala";
    settings.block.rows = plan_.rows;
    settings.block.trees_per_row = plan_.trees_a_row;
    settings.block.spacing = {3.5, 1.0};
    settings.block.target.fruits_per_tree = plan_.target;
    settings.block.target.insurance_factor = 1;
    settings.block.target.floral_fraction = 1;
    write("lead", 99, block_first_ms, settings);
    for (int p = 0; p < plan_.pruners; ++p) {
      BackHand hand{base::print("p%02d", p + 1), plan_.between_log_sd * random_.normal()};
      const int own = plan_.rows / plan_.pruners;
      if (p < plan_.drifters) hand.drifts_at = own / 3 + static_cast<int>(random_.below(
                                                   static_cast<std::uint64_t>(own / 3 + 1)));
      crew_.push_back(hand);
    }
  }

  // Each takes the next free row; a row takes the better part of a morning.
  void prune() {
    const auto row_ms = static_cast<std::int64_t>(plan_.trees_a_row * plan_.minutes_a_tree * 60e3);
    for (int row = 0; row < plan_.rows; ++row) {
      const auto p = static_cast<std::size_t>(row % plan_.pruners);
      BackHand& hand = crew_[p];
      const bool drifted = hand.rows >= hand.drifts_at;
      const double mean = plan_.target * std::exp(hand.level + (drifted ? plan_.drift_log : 0));
      // Two rows a working day.
      const std::int64_t from_ms =
          block_first_ms + (hand.rows / 2) * 86400000LL + (hand.rows % 2) * row_ms;
      prune_row(row, mean, hand.name, p, from_ms, row_ms);
      ++hand.rows;
    }
  }

  void prune_row(int row, double mean, const std::string& who, std::size_t p,
                 std::int64_t from_ms, std::int64_t row_ms) {
    const double k = 1 / std::max(1e-4, plan_.cv * plan_.cv - 1 / mean);
    std::vector<double> spurs;
    for (int tree = 0; tree < plan_.trees_a_row; ++tree) {
      spurs.push_back(static_cast<double>(random_.negative_binomial(mean, k)));
    }
    const int stride = plan_.trees_a_row / plan_.counts_a_row;
    const int start = static_cast<int>(random_.below(static_cast<std::uint64_t>(stride)));
    const bool counted = row / plan_.pruners % plan_.rows_a_count == 0;
    for (int tree = start; counted && tree < plan_.trees_a_row; tree += stride) {
      const double tag = spurs[static_cast<std::size_t>(tree)] *
                         std::exp(plan_.slip_log_sd * random_.normal() - plan_.missed_log);
      ledger::TagCount body;
      body.block = "b1";
      body.tree = {row + 1, tree + 1};
      body.spurs = static_cast<int>(std::lround(tag));
      write(who, p, from_ms + row_ms * tree / plan_.trees_a_row, body);
      counted_[{row, tree}] = tag * std::exp(plan_.missed_log);
    }
    if (plan_.logged) {
      ledger::RowDone done;
      done.block = "b1";
      done.row = row + 1;
      write(who, p, from_ms + row_ms, done);
    }
    spurs_.push_back(std::move(spurs));
  }

  // Five of each person's trees, blind: what everybody misses becomes known.
  void recount() {
    std::map<int, int> of_hand;
    for (const auto& [at, tag] : counted_) {
      if (++of_hand[at.first % plan_.pruners] > 5) continue;
      const double spurs = spurs_[static_cast<std::size_t>(at.first)]
                                 [static_cast<std::size_t>(at.second)];
      write("lead", 99, now_ms_ + 1000, ledger::CheckCount{"b1", {at.first + 1, at.second + 1},
                                                           static_cast<int>(spurs), 0});
    }
  }

  double band_high() const { return plan_.target * (1 + plan_.tolerance); }
  double minutes_a_spur() const {
    return plan_.minutes_a_tree / (plan_.target * (unpruned_times_target - 1));
  }

  double mean_of(const std::vector<int>& rows) const {
    double sum = 0;
    for (const int row : rows) {
      for (const double spurs : spurs_[static_cast<std::size_t>(row - 1)]) sum += spurs;
    }
    return sum / (static_cast<double>(rows.size()) * plan_.trees_a_row);
  }

  std::vector<int> rows_of_list(BackRun& out) const {
    std::vector<int> rows;
    for (const auto& stretch : advice::stretches_in(season_, "b1", now_ms_ + 3600000)) {
      if (stretch.what != advice::Back::go) continue;
      ++out.stretches;
      out.false_trips += mean_of(stretch.rows) <= band_high();
      for (const int row : stretch.rows) rows.push_back(row - 1);
    }
    return rows;
  }

  double hours_of(const std::vector<int>& rows) const {
    double hours = 0;
    for (const int row : rows) {
      for (const double spurs : spurs_[static_cast<std::size_t>(row)]) hours += hours_at(spurs);
    }
    return hours;
  }

  // What is over the target comes off; a tree at or below it costs the walk alone.
  double hours_at(double spurs) const {
    return (plan_.walk_minutes + std::max(0.0, spurs - plan_.target) * minutes_a_spur()) / 60;
  }

  void mend(double spurs, double hours, Trip& trip) const {
    const double over = std::max(0.0, spurs - plan_.target);
    trip.hours += hours;
    ++trip.visited;
    trip.mended += spurs > band_high();
    trip.money += over * plan_.wage / plan_.fruitlets_an_hour - hours * plan_.wage;
  }

  Trip walk(const std::vector<int>& rows, double hours) const {
    Trip trip;
    for (const int row : rows) {
      for (const double spurs : spurs_[static_cast<std::size_t>(row)]) {
        if (trip.hours >= hours) return trip;
        mend(spurs, hours_at(spurs), trip);
      }
    }
    return trip;
  }

  // Single trees lie far apart: the way to each is the app's own number.
  Trip to_counted(double hours) const {
    Trip trip;
    for (const auto& [at, tag] : counted_) {
      if (tag <= band_high() || trip.hours >= hours) continue;
      const double spurs = spurs_[static_cast<std::size_t>(at.first)]
                                 [static_cast<std::size_t>(at.second)];
      const double extra = (plan_.walk_to_one_minutes - plan_.walk_minutes) / 60;
      mend(spurs, hours_at(spurs) + extra, trip);
    }
    return trip;
  }

  BackPlan plan_;
  base::Random random_;
  ledger::Season season_;
  std::vector<BackHand> crew_;
  std::vector<std::vector<double>> spurs_;              // by row, by tree
  std::map<std::pair<int, int>, double> counted_;       // row, tree: what the tag says is there
  std::map<std::uint64_t, std::uint64_t> sequences_;
  std::int64_t now_ms_ = 0;
  std::uint32_t tick_ = 0;
};

}  // namespace

BackRun play_back(const BackPlan& plan, std::uint64_t seed) { return BackBlock(plan, seed).run(); }

}  // namespace nthtree::oc
