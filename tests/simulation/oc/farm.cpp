// SPDX-License-Identifier: Apache-2.0
#include "farm.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/advisor.h"
#include "advice/judged/remedy.h"
#include "advice/next/recount_worklist.h"
#include "base/random.h"
#include "base/text.h"
#include "ledger/season.h"

namespace nthtree::oc {
namespace {

using advice::VerdictKind;

constexpr std::int64_t first_day_ms = 1769990400000;  // 2026-02-02, a Monday
constexpr std::int64_t hour_ms = 3600 * 1000, day_ms = 24 * hour_ms;
constexpr int first_hour = 7, last_hour = 16;
constexpr int rows = 80, trees_a_row = 97;
constexpr double tolerance = 0.15;
const std::string lead = "lead";

struct FarmHand {
  std::string name;
  ledger::DeviceKey phone;
  double level = 0, here = 0, today = 0;  // ln: always, in this block, on this day
  double missed = 0;                      // ln(true ÷ tag)
  int counts = 0;                         // in this block
  double step = 0;                        // ln: by which the level moved in this block
  double log_level() const { return step + level + here + today; }
};

struct Promise {
  int at = 0;
  double more = 0;
};

class Farm {
 public:
  Farm(const FarmPlan& plan, std::uint64_t seed)
      : plan_(plan), random_(seed), advisor_(season_) {
    for (int p = 0; p < plan.pruners; ++p) {
      FarmHand pruner;
      pruner.name = base::print("p%02d", p + 1);
      pruner.phone = {1, static_cast<std::uint64_t>(p + 1)};
      pruner.level = plan.crew_log_mean + plan.between_log_sd * random_.normal();
      pruner.missed = plan.missed_log + (random_.chance(plan.off_share) ? plan.off_log_sd
                                                                        : plan.missed_log_sd) *
                                            random_.normal();
      crew_.push_back(pruner);
    }
    write(lead, {2, 1}, ledger::PersonSettings{{lead, "Lead", orchard::Role::lead, true}});
  }

  FarmRun play() {
    FarmRun run;
    for (int day = 0; day < plan_.days; ++day) {
      if (day % plan_.days_a_block == 0) open_block(day / plan_.days_a_block);
      run.days.push_back(play_day(day));
    }
    return run;
  }

 private:
  void write(const std::string& author, const ledger::DeviceKey& phone, ledger::Body body) {
    ledger::Record record;
    record.id = {phone, ++sequences_[phone]};
    record.stamp = {now_ms_, ++tick_};
    record.clock_ms = now_ms_;
    record.author = author;
    record.body = std::move(body);
    season_.apply(record);
  }

  void open_block(int number) {
    block_ = base::print("b%d", number + 1);
    ledger::BlockSettings settings;
    settings.block.id = settings.block.name = block_;
    settings.block.variety = "Gala";
    settings.block.rows = rows;
    settings.block.trees_per_row = trees_a_row;
    settings.block.spacing = {3.5, 1.0};
    settings.block.target.fruits_per_tree = plan_.target;
    settings.block.target.insurance_factor = 1;
    settings.block.target.floral_fraction = 1;
    write(lead, {2, 1}, settings);
    rows_here_.clear();
    for (int row = 0; row <= rows; ++row) rows_here_.push_back(noise(plan_.row_log_sd));
    for (FarmHand& pruner : crew_) {
      pruner.here = plan_.block_log_sd * random_.normal();
      pruner.counts = 0;
      pruner.step = 0;
    }
    promises_.clear();
  }

  // Of mean one: ln of a log-normal factor.
  double noise(double sd) { return sd * random_.normal() - sd * sd / 2; }

  FarmDay play_day(int number) {
    FarmDay day;
    day.day = number + 1;
    told_near_.clear();
    told_wrong_.clear();
    for (FarmHand& pruner : crew_) pruner.today = plan_.day_log_sd * random_.normal();
    const int hours = last_hour - first_hour;
    for (int hour = 0; hour < hours; ++hour) {
      now_ms_ = first_day_ms + number * day_ms + (first_hour + hour) * hour_ms;
      const auto until = [&](int total) { return total * (hour + 1) / hours - total * hour / hours; };
      for (std::size_t p = 0; p < crew_.size(); ++p) {
        for (int n = until(plan_.counts_a_day); n > 0; --n) count(p, number, hour, day);
      }
      recount(until(plan_.recounts_a_day), day);
      now_ms_ += hour_ms / 2;
      look(hour + 1 == hours, day);
    }
    return day;
  }

  void count(std::size_t p, int number, int hour, FarmDay& day) {
    FarmHand& pruner = crew_[p];
    if (plan_.step_after > 0 && pruner.counts == plan_.step_after) {
      pruner.step = std::log1p(plan_.step);
    }
    const int half = hour * 2 >= last_hour - first_hour;
    const int turn = (number % plan_.days_a_block) * 2 + half;
    const int row = 1 + (static_cast<int>(p) + plan_.pruners * turn) % rows;
    const int tree = 1 + (13 * ++pruner.counts) % trees_a_row;
    const double mean = plan_.target * std::exp(pruner.log_level() + rows_here_.at(row));
    const double k = 1 / std::max(1e-4, plan_.cv * plan_.cv - 1 / mean);
    const auto spurs = static_cast<double>(random_.negative_binomial(mean, k));
    const double tag = spurs * std::exp(noise(plan_.slip_log_sd) - pruner.missed);
    truth_[{row, tree}] = spurs;
    ledger::TagCount body;
    body.block = block_;
    body.tree = {row, tree};
    body.spurs = static_cast<int>(std::lround(tag));
    write(pruner.name, pruner.phone, body);
    ++day.counts;
  }

  void recount(int most, FarmDay& day) {
    if (most <= 0) return;
    for (const auto& tree : advice::recount_worklist(season_, block_, now_ms_, most)) {
      const double spurs = truth_[{tree.tree.row, tree.tree.tree}] * std::exp(noise(0.02));
      write(lead, {2, 1}, ledger::CheckCount{block_, tree.tree,
                                             static_cast<int>(std::lround(spurs)), 0});
      ++day.recounts;
    }
  }

  void look(bool day_ends, FarmDay& day) {
    for (const advice::CrewRow& row : advisor_.crew_board(block_, now_ms_)) {
      FarmHand& pruner = *std::find_if(crew_.begin(), crew_.end(),
                                     [&](const FarmHand& p) { return p.name == row.person; });
      note_flags(pruner, row, day);
      const double off = std::exp(pruner.log_level()) - 1;
      note_told(pruner, row.verdict, off);
      note_promise(pruner, row.verdict, day);
      if (day_ends) note_day(row, off, day);
      if (plan_.advice_given) tell(pruner, row.verdict);
    }
    if (!day_ends) return;
    day.told_near = static_cast<int>(told_near_.size());
    day.told_wrong_way = static_cast<int>(told_wrong_.size());
  }

  void note_flags(const FarmHand& pruner, const advice::CrewRow& row, FarmDay& day) {
    const int since = plan_.step_after > 0 ? std::max(0, pruner.counts - plan_.step_after) : 0;
    const std::string who = block_ + " " + pruner.name;
    flags_.look(who, row.drift.level.alarm, since, day.drift);
    flags_as_it_was_.look(who, flag_as_it_was(row.drift, row.standing, plan_.target), since,
                          day.drift_as_it_was);
  }

  void note_told(const FarmHand& pruner, const advice::Verdict& verdict, double off) {
    const bool harder = verdict.kind == VerdictKind::harder;
    if (!harder && verdict.kind != VerdictKind::lighter) return;
    if (std::fabs(off) < tolerance / 2) told_near_.insert(pruner.name);
    if (harder ? off < -tolerance / 2 : off > tolerance / 2) told_wrong_.insert(pruner.name);
  }

  void note_promise(const FarmHand& pruner, const advice::Verdict& verdict, FarmDay& day) {
    const auto found = promises_.find(pruner.name);
    if (found != promises_.end()) {
      const bool answered = verdict.kind != VerdictKind::count_more;
      const bool in_time = pruner.counts - found->second.at <= found->second.more;
      if (!answered && in_time) return;
      ++day.promises;
      day.promises_kept += answered && in_time;
      promises_.erase(found);
    }
    if (verdict.expected_more_trees > 0) {
      promises_[pruner.name] = {pruner.counts, verdict.expected_more_trees};
    }
  }

  void note_day(const advice::CrewRow& row, double off, FarmDay& day) {
    day.flags_up += row.drift.level.alarm;
    day.near += std::fabs(off) < tolerance / 2;
    const auto& spurs = row.standing.spurs_per_tree;
    const double truth = plan_.target * (1 + off);
    ++day.intervals;
    day.covered += spurs.low <= truth && truth <= spurs.high;
    day.missed_low += spurs.high < truth;
    if (std::fabs(off) < 1.5 * tolerance) return;
    ++day.far;
    day.right += row.verdict.kind == (off > 0 ? VerdictKind::harder : VerdictKind::lighter);
    const advice::Remedy remedy = advice::remedy_of(row.verdict);
    day.silent += remedy == advice::Remedy::count_more;
    day.recount_first += remedy == advice::Remedy::recount_first ||
                         remedy == advice::Remedy::call_lead;
    day.more_buds += remedy == advice::Remedy::cut_more_buds;
  }

  // What was told is mostly done, from the next tree on.
  void tell(FarmHand& pruner, const advice::Verdict& verdict) {
    const bool harder = verdict.kind == VerdictKind::harder;
    if (!harder && verdict.kind != VerdictKind::lighter) return;
    const double told = std::clamp(verdict.over_target.value / plan_.target, -0.5, 0.5);
    write(lead, {2, 1}, ledger::Advice{block_, pruner.name,
                                       harder ? ledger::Direction::harder
                                              : ledger::Direction::lighter,
                                       static_cast<int>(std::lround(std::fabs(told) *
                                                                    plan_.target))});
    pruner.level += 0.75 * std::log1p(-told / std::max(0.5, std::exp(pruner.log_level())));
  }

  FarmPlan plan_;
  base::Random random_;
  ledger::Season season_;
  advice::Advisor advisor_;
  std::vector<FarmHand> crew_;
  std::string block_;
  std::vector<double> rows_here_;
  std::map<std::pair<int, int>, double> truth_;
  FlagWatch flags_, flags_as_it_was_;
  std::map<std::string, Promise> promises_;
  std::set<std::string> told_near_, told_wrong_;
  std::map<ledger::DeviceKey, std::uint64_t> sequences_;
  std::int64_t now_ms_ = first_day_ms;
  std::uint32_t tick_ = 0;
};

}  // namespace

void FarmDay::add(const FarmDay& other) {
  counts += other.counts;
  recounts += other.recounts;
  drift.add(other.drift);
  drift_as_it_was.add(other.drift_as_it_was);
  flags_up += other.flags_up;
  near += other.near;
  told_near += other.told_near;
  told_wrong_way += other.told_wrong_way;
  far += other.far;
  right += other.right;
  silent += other.silent;
  recount_first += other.recount_first;
  more_buds += other.more_buds;
  intervals += other.intervals;
  covered += other.covered;
  missed_low += other.missed_low;
  promises += other.promises;
  promises_kept += other.promises_kept;
}

FarmDay FarmRun::total() const {
  FarmDay sum;
  for (const FarmDay& day : days) sum.add(day);
  return sum;
}

FarmRun play_farm(const FarmPlan& plan, std::uint64_t seed) { return Farm(plan, seed).play(); }

FarmDay play_farms(const FarmPlan& plan, int farms, std::uint64_t seed) {
  FarmDay sum;
  base::Random seeds(seed);
  for (int farm = 0; farm < farms; ++farm) sum.add(play_farm(plan, seeds.next()).total());
  return sum;
}

std::string farm_text(const FarmRun& run) {
  std::string text = "day  counts  re-counts  drift: false, up  near: told  wrong way  "
                     "far: right, count on, re-count, buds  within N\n";
  const auto line = [&](const std::string& name, const FarmDay& day) {
    text += base::print("%-5s%6d%11d%15d%4d%7d%6d%11d%5d%7d%10d%10d%6d%5d/%d\n", name.c_str(),
                        day.counts, day.recounts, day.drift.false_flags, day.flags_up, day.near,
                        day.told_near, day.told_wrong_way, day.far, day.right, day.silent,
                        day.recount_first, day.more_buds, day.promises_kept, day.promises);
  };
  for (const FarmDay& day : run.days) line(base::print("%d", day.day), day);
  const FarmDay all = run.total();
  line("all", all);
  if (all.drift.false_flags > 0) {
    text += base::print("one false drift flag in %d counts\n",
                        all.counts / all.drift.false_flags);
  }
  return text + base::print("90 %% intervals that held: %d of %d\n", all.covered, all.intervals);
}

}  // namespace nthtree::oc
