// SPDX-License-Identifier: Apache-2.0
#include "unchecked.h"

#include <cmath>
#include <string>

#include "advice/internal/counting_tally.h"
#include "advice/internal/standing_model.h"
#include "advice/judged/remedy.h"
#include "base/random.h"
#include "world.h"

namespace nthtree::oc {
namespace {

constexpr int mates = 7, counts_of_mates = 20, pairs_of_mates = 3;
const std::string watched = "a";

// ln(true ÷ tag) of one person, as it is believed to be drawn.
double draw_missed(base::Random& random) {
  const advice::CountingPrior prior;
  const double sd = random.chance(prior.off_chance) ? prior.off_log_sd : prior.between_sd;
  return prior.log_mean + sd * random.normal();
}

class CrewDay {
 public:
  CrewDay(const UncheckedPlan& plan, std::uint64_t seed) : random_(seed) {
    here_.block = "b";
    here_.has_target = true;
    here_.target_spurs = Truth{}.target;
    here_.target.spurs_to_leave_per_tree = orchard::Estimate::exactly(here_.target_spurs);
    for (int mate = 0; mate < mates; ++mate) {
      const double level = std::exp(0.03 + 0.12 * random_.normal());
      TreeLine trees({.ratio = level}, random_.next());
      const double missed = draw_missed(random_);
      for (int n = 0; n < counts_of_mates; ++n) {
        add("m" + std::to_string(mate), trees.next(), missed,
            plan.mates_checked && n < pairs_of_mates);
      }
    }
    pool();
  }

  void add(const std::string& person, const Counted& tree, double missed, bool recounted) {
    advice::CountPoint point;
    point.at_ms = ++clock_;
    point.tree = {static_cast<int>(clock_), 1};
    const double slip = 0.06 * random_.normal();
    point.spurs = std::round(tree.spurs * std::exp(slip - missed));
    point.share_tag = point.spurs / here_.target_spurs;
    if (recounted) {
      point.add_more().check = tree.spurs;
      point.add_more().share_check = tree.spurs / here_.target_spurs;
      advice::PersonTally& tally = tallies_[person];
      tally.pairs += 1;
      tally.pair_sum += point.log_ratio();
      tally.pair_sum_squares += point.log_ratio() * point.log_ratio();
    }
    here_.people[person].add(point);
  }
  void pool() { bias_ = advice::pool_counting(tallies_); }

  advice::Standing standing() const {
    advice::StandingInput input;
    input.here = &here_;
    input.bias = &bias_;
    return *advice::model_standings(input).of(watched);
  }

 private:
  base::Random random_;
  advice::BlockEvidence here_;
  advice::CountingBias bias_;
  std::map<std::string, advice::PersonTally> tallies_;
  std::int64_t clock_ = 0;
};

}  // namespace

UncheckedRates simulate_unchecked(const UncheckedPlan& plan, std::uint64_t seed) {
  UncheckedRates rates;
  const advice::Settings settings;
  base::Random seeds(seed);
  for (int day = 0; day < plan.days; ++day) {
    CrewDay crew(plan, seeds.next());
    const double missed = plan.seen > 0 ? -std::log(plan.seen) : draw_missed(seeds);
    TreeLine trees({.ratio = plan.ratio}, seeds.next());
    bool harder = false, lighter = false;
    advice::Verdict last;
    advice::Standing standing;
    for (int n = 0; n < plan.counts; ++n) {
      crew.add(watched, trees.next(), missed, n < plan.recounts);
      if (n < plan.recounts) crew.pool();
      standing = crew.standing();
      last = advice::judge(standing, settings);
      harder = harder || last.kind == advice::VerdictKind::harder;
      lighter = lighter || last.kind == advice::VerdictKind::lighter;
    }
    const double truth = Truth{}.target * plan.ratio;
    rates.told_change += harder || lighter;
    rates.told_wrong_way += plan.ratio > 1 ? lighter : harder;
    rates.right += plan.ratio > 1 ? harder : lighter;
    const advice::Remedy remedy = advice::remedy_of(last);
    rates.asked += remedy == advice::Remedy::recount_first || remedy == advice::Remedy::call_lead;
    rates.covered += standing.spurs_per_tree.low <= truth && truth <= standing.spurs_per_tree.high;
  }
  for (double* sum : {&rates.told_change, &rates.told_wrong_way, &rates.right, &rates.asked,
                      &rates.covered}) {
    *sum /= plan.days;
  }
  return rates;
}

}  // namespace nthtree::oc
