// SPDX-License-Identifier: Apache-2.0
#include "against.h"

#include <cmath>
#include <string>
#include <vector>

#include "advice/internal/current.h"
#include "advice/internal/standing_model.h"
#include "advice/judged/against_crew.h"
#include "advice/judged/verdict.h"
#include "base/random.h"
#include "world.h"

namespace nthtree::oc {
namespace {

constexpr double believed_target = 180;
// What is believed of people nobody re-counted, and what they are drawn from.
constexpr double misses = 0.077, misses_sd = 0.08, misses_between_sd = 0.06;

struct OneOfCrew {
  std::string name;
  double level = 1;       // share of the believed target, true spurs
  TreeLine trees;
  bool told_more = false, told_fewer = false;
  int told_at = 0;
};

class CrewBlock {
 public:
  CrewBlock(const AgainstPlan& plan, std::uint64_t seed) : plan_(plan) {
    base::Random random(seed);
    evidence_.block = "b";
    evidence_.has_target = true;
    evidence_.target_spurs = believed_target;
    evidence_.target.spurs_to_leave_per_tree = orchard::Estimate::exactly(believed_target);
    evidence_.target_log_sd = plan.target_half_width / advice::z_90;
    const double truth = std::exp(evidence_.target_log_sd * random.normal());
    const double crew_misses = misses + misses_sd * random.normal();
    for (int i = 0; i < plan.pruners; ++i) {
      const double own = i == 0 ? plan.apart : std::exp(plan.others_log_sd * random.normal());
      const double missed = crew_misses + misses_between_sd * random.normal();
      Truth trees{.ratio = own * truth, .cv = plan.cv};
      if (plan.unchecked) trees.counter_ratio = std::exp(-missed);
      pruners_.push_back({"p" + std::to_string(100 + i), own * truth,
                          TreeLine(trees, random.next()), false, false, 0});
    }
    if (plan.unchecked) {
      bias_.crew_log_mean = misses;
      bias_.crew_log_mean_sd = misses_sd;
      bias_.crew_log_sd_between = misses_between_sd;
      bias_.crew_ratio = advice::log_estimate(misses, std::hypot(misses_sd, misses_between_sd));
    }
  }

  std::vector<OneOfCrew>& pruners() { return pruners_; }

  advice::BlockStandings next_round(int round) {
    for (OneOfCrew& pruner : pruners_) {
      const Counted count = pruner.trees.next();
      advice::CountPoint point;
      point.at_ms = 1000 * round;
      point.day = 1;
      point.tree = {1 + round / 2, 1};
      point.spurs = count.tag;
      point.share_tag = count.tag / believed_target;
      evidence_.people[pruner.name].add(point);
    }
    advice::StandingInput input;
    input.here = &evidence_;
    input.bias = &bias_;
    return advice::model_standings(input);
  }

 private:
  AgainstPlan plan_;
  advice::BlockEvidence evidence_;
  advice::CountingBias bias_;
  std::vector<OneOfCrew> pruners_;
};

void note_first(const advice::AgainstCrew& answer, int round, OneOfCrew& pruner) {
  if (pruner.told_at > 0 || !answer.tells()) return;
  pruner.told_more = answer.kind == advice::AgainstCrewKind::more;
  pruner.told_fewer = !pruner.told_more;
  pruner.told_at = round;
}

}  // namespace

AgainstRates simulate_against_crew(const AgainstPlan& plan, std::uint64_t seed) {
  AgainstRates rates;
  const advice::Settings settings;
  base::Random seeds(seed);
  double mates = 0;
  for (int day = 0; day < plan.days; ++day) {
    CrewBlock block(plan, seeds.next());
    bool verdict_told = false;
    advice::AgainstCrew last;
    for (int round = 1; round <= plan.counts_most; ++round) {
      const advice::BlockStandings standings = block.next_round(round);
      for (OneOfCrew& pruner : block.pruners()) {
        const auto answer = advice::against_crew(standings, pruner.name, settings);
        note_first(answer, round, pruner);
        if (&pruner == &block.pruners().front()) last = answer;
      }
      const auto verdict = advice::kind_of(standings.pruners.front(), settings);
      verdict_told = verdict_told || verdict == (plan.apart < 1 ? advice::VerdictKind::lighter
                                                                : advice::VerdictKind::harder);
    }
    const OneOfCrew& first = block.pruners().front();
    rates.told_right += plan.apart < 1 ? first.told_fewer : first.told_more;
    rates.told_wrong += plan.apart < 1 ? first.told_more : first.told_fewer;
    rates.counts += first.told_at > 0 ? first.told_at : plan.counts_most;
    rates.verdict_right += verdict_told;
    double others = 0;
    for (const advice::CrewPart& part : last.parts) {
      for (const OneOfCrew& mate : block.pruners()) {
        if (mate.name == part.person) others += part.weight * std::log(mate.level);
      }
    }
    const double truth = std::exp(std::log(first.level) - others) - 1;
    rates.covered += last.fraction.low <= truth && truth <= last.fraction.high;
    for (std::size_t i = 1; i < block.pruners().size(); ++i) {
      rates.mates_told += block.pruners()[i].told_at > 0;
      mates += 1;
    }
  }
  const double n = plan.days;
  return {rates.told_right / n, rates.told_wrong / n, rates.counts / n, rates.verdict_right / n,
          rates.mates_told / mates, rates.covered / n};
}

}  // namespace nthtree::oc
