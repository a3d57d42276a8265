// SPDX-License-Identifier: Apache-2.0
#include "advice/next/tomorrow.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "stats/assignment.h"
#include "stats/quantiles.h"
#include "stats/value_of_information.h"

namespace nthtree::advice {
namespace {

// How far a gang's rate over the coming days may be from what is expected: weather, people away
// (common practice, no source).
constexpr double rate_log_sd = 0.2;
constexpr int days_most = 250;  // a dormant season and more

// What is left to do in one block, before anybody is sent there.
struct Work {
  BlockEnd end;
  double hours_a_day = 8;
  double days = 0;                             // until green tip
  std::map<std::string, double> trees_per_hour;  // by person, from their spells here
  double anybody = 15;                         // of one person of the crew
  std::map<std::string, std::int64_t> last_worked_ms;
};

void note_workers(const ledger::BlockSeason& block, std::int64_t cut_ms, Work& work) {
  const auto note = [&](const auto& entry) {
    std::int64_t& last = work.last_worked_ms[entry.author];
    last = std::max(last, entry.at_ms());
  };
  for_current(block.tag_counts, cut_ms, note);
  for_current(block.part_counts, cut_ms, note);
  for_current(block.work_spells, cut_ms, note);
  for_current(block.rows_done, cut_ms, [&](const auto& entry) {
    std::int64_t& last = work.last_worked_ms[entry.body.person.empty() ? entry.author
                                                                       : entry.body.person];
    last = std::max(last, entry.at_ms());
  });
}

Work work_in(const ledger::Season& season, const ledger::BlockSeason& block,
             std::int64_t now_ms) {
  Work work;
  const std::int64_t cut_ms = cut_for(season, now_ms);
  const Pace pace = pace_in(make_context(season, block, now_ms, cut_ms));
  work.end.block = block.id;
  work.end.trees_left = static_cast<double>(pace.trees_left);
  work.end.has_green_tip = pace.has_green_tip;
  work.end.green_tip_day = pace.green_tip_day;
  work.hours_a_day = std::max(0.5, season.farm().hours_per_day);
  work.days = static_cast<double>(
      std::max<std::int64_t>(0, pace.green_tip_day - season.day_of(now_ms)));
  work.anybody = pace.trees_per_hour.value;
  for (const PrunerPace& pruner : pace.pruners) {
    work.trees_per_hour[pruner.person] = pruner.trees_per_hour.value;
  }
  note_workers(block, cut_ms, work);
  return work;
}

std::vector<Work> all_work(const ledger::Season& season, std::int64_t now_ms) {
  std::vector<Work> all;
  for (const auto& [id, block] : season.blocks()) {
    if (block.block) all.push_back(work_in(season, block, now_ms));
  }
  std::stable_sort(all.begin(), all.end(), [](const Work& a, const Work& b) {
    if (a.end.has_green_tip != b.end.has_green_tip) return a.end.has_green_tip;
    return a.end.green_tip_day < b.end.green_tip_day;
  });
  return all;
}

// Where and when somebody worked last.
std::pair<std::string, std::int64_t> last_place(const std::vector<Work>& all,
                                                const std::string& person) {
  std::pair<std::string, std::int64_t> last{"", 0};
  for (const Work& work : all) {
    const auto found = work.last_worked_ms.find(person);
    if (found != work.last_worked_ms.end() && found->second > last.second) {
      last = {work.end.block, found->second};
    }
  }
  return last;
}

std::vector<Gang> gangs_of(const ledger::Season& season, const std::vector<Work>& all) {
  std::map<std::pair<std::string, std::string>, Gang> gangs;  // by name, or by block where none
  for (const auto& [id, person] : season.people()) {
    if (!person.active || person.role != orchard::Role::pruner) continue;
    const auto [block, at_ms] = last_place(all, id);
    if (person.gang.empty() && block.empty()) continue;  // has not worked yet, and nobody's
    Gang& gang = gangs[{person.gang, person.gang.empty() ? block : std::string()}];
    gang.name = person.gang;
    gang.people.push_back(id);
    if (gang.block_now.empty()) gang.block_now = block;
  }
  std::vector<Gang> list;
  for (auto& [key, gang] : gangs) list.push_back(std::move(gang));
  return list;
}

double rate_in(const Gang& gang, const Work& work) {
  double rate = 0;
  for (const std::string& person : gang.people) {
    const auto own = work.trees_per_hour.find(person);
    rate += own == work.trees_per_hour.end() ? work.anybody : own->second;
  }
  return rate;
}

// Trees expected to be left at green tip where `rate` works `days` days, the rate uncertain.
double trees_late(const Work& work, double rate, double days) {
  if (!work.end.has_green_tip) return 0;
  const double pruned = rate * work.hours_a_day * std::max(0.0, days);
  const double sd = pruned * rate_log_sd;
  if (sd <= 0) return work.end.trees_left;
  return sd * stats::unit_normal_linear_loss((pruned - work.end.trees_left) / sd);
}

class Planner {
 public:
  Planner(const ledger::Season& season, std::int64_t now_ms)
      : today_(season.day_of(now_ms)), all_(all_work(season, now_ms)) {
    gangs_ = gangs_of(season, all_);
    all_.erase(std::remove_if(all_.begin(), all_.end(),
                              [](const Work& work) { return work.end.trees_left <= 0; }),
               all_.end());
  }

  Tomorrow plan() {
    deal_out();
    return result();
  }

  Tomorrow with(const std::map<std::string, std::string>& block_of_gang) {
    for (Gang& gang : gangs_) {
      const auto wish = block_of_gang.find(gang.key());
      gang.block = wish != block_of_gang.end() && work_of(wish->second) ? wish->second
                                                                        : gang.block_now;
    }
    return result();
  }

 private:
  const Work* work_of(const std::string& block) const {
    for (const Work& work : all_) {
      if (work.end.block == block) return &work;
    }
    return nullptr;
  }

  // A place in a block for each gang; the next one is worth what it saves beside gangs of a
  // middling rate. Saved is what would be late if the block had to wait until those of an earlier
  // green tip are done.
  std::vector<std::vector<double>> savings_as_costs(std::size_t places) const {
    std::vector<std::vector<double>> costs(gangs_.size());
    double waiting_days = 1;
    for (const Work& work : all_) {
      const double middling = total_rate(work) / static_cast<double>(gangs_.size());
      const double unsent = trees_late(work, total_rate(work), work.days - waiting_days);
      for (std::size_t g = 0; g < gangs_.size(); ++g) {
        // Ties do not shuffle gangs: staying is worth a hundredth of a tree.
        const double stay = gangs_[g].block_now == work.end.block ? 0.01 : 0;
        double before = unsent;
        for (std::size_t place = 0; place < places; ++place) {
          const double rate = middling * static_cast<double>(place) + rate_in(gangs_[g], work);
          const double after = std::min(before, trees_late(work, rate, work.days));
          costs[g].push_back(after - before - stay);
          before = std::min(before, trees_late(work, middling * (place + 1.0), work.days));
        }
      }
      waiting_days += work.end.trees_left / std::max(1.0, total_rate(work) * work.hours_a_day);
    }
    return costs;
  }

  // Dealt out exactly by these savings, which leave out that a gang goes on elsewhere when it is
  // done; so single moves are tried on the days played out, and staying is kept where nothing is
  // gained by leaving.
  void deal_out() {
    for (Gang& gang : gangs_) gang.block = gang.block_now;
    if (gangs_.empty() || all_.empty()) return;
    const double as_now = late();
    const std::vector<Gang> staying = gangs_;
    const std::size_t places =
        std::min<std::size_t>(gangs_.size(), stats::assignment_side_max / all_.size());
    if (const auto best = stats::least_cost_assignment(savings_as_costs(places))) {
      for (std::size_t g = 0; g < gangs_.size(); ++g) {
        gangs_[g].block = all_[best->column_of_row[g] / places].end.block;
      }
    }
    double least = late();
    for (bool better = true; better;) better = move_one(least);
    if (least > as_now - 1) gangs_ = staying;
    for (Gang& gang : gangs_) {
      if (!work_of(gang.block)) gang.block = all_.front().end.block;  // its block is done
    }
  }

  // One gang to one other block, where that leaves fewer trees late by one or more.
  bool move_one(double& least) {
    for (Gang& gang : gangs_) {
      const std::string before = gang.block;
      for (const Work& work : all_) {
        gang.block = work.end.block;
        const double now = late();
        if (now < least - 1) {
          least = now;
          return true;
        }
      }
      gang.block = before;
    }
    return false;
  }

  double total_rate(const Work& work) const {
    double sum = 0;
    for (const Gang& gang : gangs_) sum += rate_in(gang, work);
    return sum;
  }

  double late() const { return late_of(play_out()); }

  static double late_of(const std::vector<BlockEnd>& ends) {
    double sum = 0;
    for (const BlockEnd& end : ends) sum += end.trees_late;
    return sum;
  }

  // The days to come: each gang in its block until that is done, then where green tip comes next.
  // Played at three rates, which stand for the uncertain one (Gauss-Hermite nodes and weights).
  std::vector<BlockEnd> play_out() const {
    constexpr double nodes[] = {-1.7320508075688772, 0, 1.7320508075688772};
    constexpr double weights[] = {1.0 / 6, 2.0 / 3, 1.0 / 6};
    std::vector<BlockEnd> ends;
    for (const Work& work : all_) ends.push_back(work.end);
    for (int i = 0; i < 3; ++i) play(std::exp(nodes[i] * rate_log_sd), weights[i], ends);
    for (std::size_t b = 0; b < all_.size(); ++b) finish(all_[b], ends[b]);
    return ends;
  }

  void play(double pace, double weight, std::vector<BlockEnd>& ends) const {
    std::vector<double> left;
    for (const Work& work : all_) left.push_back(work.end.trees_left);
    const auto block_of = [&](const Gang& gang) {
      std::size_t first = all_.size();
      for (std::size_t b = all_.size(); b-- > 0;) {
        if (left[b] <= 0) continue;
        if (all_[b].end.block == gang.block) return b;
        first = b;
      }
      return first;
    };
    for (int day = 1; day <= days_most; ++day) {
      for (const Gang& gang : gangs_) {
        const std::size_t b = block_of(gang);
        if (b == all_.size()) break;
        left[b] -= rate_in(gang, all_[b]) * all_[b].hours_a_day * pace;
      }
      for (std::size_t b = 0; b < all_.size(); ++b) {
        note_day(day, left[b], pace, weight, all_[b], ends[b]);
      }
    }
  }

  void note_day(int day, double left, double pace, double weight, const Work& work,
                BlockEnd& end) const {
    const bool at_green_tip = work.end.has_green_tip && day == std::max(1.0, work.days);
    if (at_green_tip) {
      end.trees_late += weight * std::max(0.0, left);
      if (left <= 0) end.chance_in_time += weight;
    }
    std::int64_t& when = pace < 1 ? end.end_day_late : pace > 1 ? end.end_day_early : end.end_day;
    if (left <= 0 && when == 0) when = today_ + day;
  }

  void finish(const Work& work, BlockEnd& end) const {
    for (const Gang& gang : gangs_) {
      if (gang.block == work.end.block) end.trees_per_hour += rate_in(gang, work);
    }
    end.has_end = end.end_day > 0;
    if (end.end_day_late == 0) end.end_day_late = today_ + days_most;
  }

  void say_why(Gang& gang, const Tomorrow& plan) const {
    const bool stays = gang.block == gang.block_now;
    gang.reasons.push_back({stays ? "gang_stays" : "gang_moves", {}});
    const double saved = plan.trees_late_as_now - plan.trees_late;
    if (!stays && saved >= 1) gang.reasons.push_back({"gang_saves", {{"trees", saved}}});
    for (const BlockEnd& end : plan.blocks) {
      if (end.block != gang.block || !end.has_green_tip || end.chance_in_time > 0.9) continue;
      gang.reasons.push_back({"gang_late", {{"chance", end.chance_in_time},
                                            {"trees", end.trees_late}}});
    }
  }

  Tomorrow result() {
    Tomorrow plan;
    plan.blocks = play_out();
    plan.trees_late = late_of(plan.blocks);
    const std::vector<Gang> proposed = gangs_;
    for (Gang& gang : gangs_) gang.block = gang.block_now;
    plan.trees_late_as_now = late();
    gangs_ = proposed;
    for (Gang& gang : gangs_) {
      if (const Work* work = work_of(gang.block)) gang.trees_per_hour = rate_in(gang, *work);
      say_why(gang, plan);
    }
    plan.gangs = gangs_;
    return plan;
  }

  std::int64_t today_;
  std::vector<Work> all_;
  std::vector<Gang> gangs_;
};

}  // namespace

Tomorrow tomorrow(const ledger::Season& season, std::int64_t now_ms) {
  return Planner(season, now_ms).plan();
}

Tomorrow what_if(const ledger::Season& season, std::int64_t now_ms,
                 const std::map<std::string, std::string>& block_of_gang) {
  return Planner(season, now_ms).with(block_of_gang);
}

}  // namespace nthtree::advice
