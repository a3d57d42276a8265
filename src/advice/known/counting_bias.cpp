// SPDX-License-Identifier: Apache-2.0
#include "advice/known/counting_bias.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "advice/internal/counting_tally.h"
#include "advice/internal/current.h"
#include "stats/digit_preference.h"

namespace nthtree::advice {
namespace {

constexpr CountingPrior prior;

double within_variance(const std::map<std::string, PersonTally>& people) {
  double squares = prior.one_weight * prior.one_sd * prior.one_sd, df = prior.one_weight;
  for (const auto& [person, tally] : people) {
    if (tally.pairs < 2) continue;
    squares += tally.pair_squares();
    df += tally.pairs - 1;
  }
  return squares / df;
}

}  // namespace

// EM for the crew's mean, the spread between counters and the share of those who count unlike the
// rest, all with their priors (Dempster, Laird and Rubin, J. R. Stat. Soc. B 39, 1977); who is off
// says as much less of the others. A dozen rounds settle the fourth digit.
CountingCrew fit_counting_crew(const std::map<std::string, PersonTally>& people) {
  struct Seen {
    const std::string* person;
    double mean, sampling, usual;
  };
  CountingCrew crew;
  crew.one = within_variance(people);
  std::vector<Seen> counters;
  for (const auto& [person, tally] : people) {
    if (tally.pairs == 0 || tally.is_lead) continue;
    counters.push_back({&person, tally.pair_mean(), crew.one / tally.pairs, 1});
  }
  for (int round = 0; round < 12; ++round) {
    crew.between_before = crew.between;
    double precision = 1 / (prior.log_mean_sd * prior.log_mean_sd);
    double sum = prior.log_mean * precision;
    double off = prior.off_weight * prior.off_chance;
    const stats::BeliefMixture another = crew.newcomer(0);
    for (Seen& one : counters) {
      one.usual = 1 - observe(another, one.mean, one.sampling).off_chance;
      const double w = one.usual / (crew.between + one.sampling);
      precision += w;
      sum += w * one.mean;
      off += 1 - one.usual;
    }
    crew.mean = sum / precision;
    crew.mean_variance = 1 / precision;
    crew.off_chance = off / (prior.off_weight + static_cast<double>(counters.size()));
    double squares = prior.between_weight * prior.between_sd * prior.between_sd;
    double weight = prior.between_weight;
    const auto of_crew = stats::NormalBelief::about(crew.mean, crew.between);
    for (const Seen& one : counters) {
      const stats::NormalBelief own = stats::observe(of_crew, one.mean, one.sampling);
      const double apart = own.mean - crew.mean;
      squares += one.usual * (apart * apart + own.variance());
      weight += one.usual;
    }
    crew.between = squares / weight;
  }
  for (const Seen& one : counters) crew.as_usual[*one.person] = one.usual;
  return crew;
}

CountingCrew::CountingCrew()
    : mean(prior.log_mean), mean_variance(prior.log_mean_sd * prior.log_mean_sd),
      between(prior.between_sd * prior.between_sd), between_before(between),
      one(prior.one_sd * prior.one_sd), off_chance(prior.off_chance) {}

stats::BeliefMixture CountingCrew::newcomer(double loose) const {
  const double off = prior.off_log_sd * prior.off_log_sd;
  return {stats::NormalBelief::about(mean, between + loose),
          stats::NormalBelief::about(mean, off + loose), off_chance};
}

namespace {

// What is known of one person's ratio, in the shapes it is asked for.
void put_ratio(const stats::BeliefMixture& belief, Counter& counter) {
  counter.log_ratio = belief;
  counter.log_mean = belief.mean();
  counter.log_sd = belief.sd();
  counter.ratio = {std::exp(counter.log_mean), std::exp(belief.quantile(0.05)),
                   std::exp(belief.quantile(0.95))};
}

Counter make_counter(const std::string& person, const PersonTally& tally,
                     const CountingCrew& crew) {
  Counter counter;
  counter.person = person;
  counter.pairs = tally.pairs;
  counter.log_sd_of_one = std::sqrt(crew.one);
  stats::BeliefMixture own = crew.newcomer(crew.mean_variance);
  if (tally.is_lead) {
    const auto right = stats::NormalBelief::about(0, prior.lead_log_sd * prior.lead_log_sd);
    own = {right, right, 0};
    counter.pooled_share = 0;
  } else if (tally.pairs > 0) {
    const double sampling = crew.one / tally.pairs, of_crew = own.usual.variance();
    own = observe(own, tally.pair_mean(), sampling);
    counter.pooled_share = (1 - own.off_chance) * sampling / (sampling + of_crew);
    counter.own_ratio = log_estimate(tally.pair_mean(), std::sqrt(sampling));
  }
  put_ratio(own, counter);
  return counter;
}

// Looked at again and again over a season: a sign needs one in a thousand, not one in twenty.
constexpr double sign_level = 0.001;

void find_signs(const PersonTally& tally, const PersonTally& crew, Counter& counter) {
  if (tally.counts == 0) return;
  counter.digit_share = static_cast<double>(tally.round_numbers) / tally.counts;
  const int steps = std::max(1, tally.counts - tally.streaks);
  counter.repeat_share = static_cast<double>(tally.repeats) / steps;
  // Two neighbours agree by chance with 1 / (2 √π sd) for a normal spread of sd spurs.
  const double sd_spurs = std::max(5.0, tally.mean_spurs() * 0.25);
  const double by_chance = std::max(0.02, 1 / (2 * 1.7724538509 * sd_spurs));
  const auto too_many = [](int hits, int n, double chance) {
    return stats::so_many_is_rarer_than(sign_level, static_cast<std::size_t>(hits),
                                        static_cast<std::size_t>(n), chance);
  };
  if (tally.counts >= 8 && too_many(tally.repeats, steps, by_chance)) {
    counter.signs.push_back(CountingSign::copies);
  }
  if (tally.counts >= 12 &&
      too_many(tally.round_numbers, tally.counts, stats::round_ending_chance)) {
    counter.signs.push_back(CountingSign::digits);
  }
  const double others_df = crew.log_df - tally.log_df;
  const double others = crew.log_squares - tally.log_squares;
  if (tally.log_df >= 7 && others_df >= 7 && others > 0) {
    const double own = tally.log_squares / tally.log_df;
    counter.spread_ratio = std::sqrt(own / (others / others_df));
    // People differ in how even they prune; numbers made up are far more even than any of them.
    constexpr double far_too_even = 0.6;
    if (counter.spread_ratio < far_too_even &&
        stats::spread_test_of_variances(own, tally.log_df, others / others_df, others_df)
                ->p_too_little < sign_level) {
      counter.signs.push_back(CountingSign::too_even);
    }
  }
}

void find_ratio_signs(const PersonTally& tally, Counter& counter) {
  if (tally.pairs >= 2 && std::fabs(counter.log_mean) - z_90 * counter.log_sd > 0.1398) {
    counter.signs.push_back(CountingSign::misses_many);  // 0.1398 = ln 1.15
  }
  if (tally.pairs < 6) return;
  const auto& latest = tally.latest_pairs;
  const double late = std::accumulate(latest.begin(), latest.end(), 0.0);
  const double early = tally.pair_sum - late, earlier = tally.pairs - 3;
  const double gap = late / 3 - early / earlier;
  if (std::fabs(gap) > 3.3 * counter.log_sd_of_one * std::sqrt(1.0 / 3 + 1 / earlier)) {
    counter.signs.push_back(CountingSign::ratio_moved);
  }
}

}  // namespace

double CountedTwice::log_ratio() const { return std::log((check + 0.5) / (tag + 0.5)); }

bool Counter::may_not_be_counted() const {
  return std::any_of(signs.begin(), signs.end(), [](CountingSign sign) {
    return sign == CountingSign::copies || sign == CountingSign::digits ||
           sign == CountingSign::too_even;
  });
}

stats::BeliefMixture CountingBias::newcomer() const {
  const double loose = crew_log_mean_sd * crew_log_mean_sd;
  // A crew of which nothing was said at all (in tests and simulations) counts right.
  const double usual = std::max(1e-12, crew_log_sd_between * crew_log_sd_between + loose);
  return {stats::NormalBelief::about(crew_log_mean, usual),
          stats::NormalBelief::about(crew_log_mean, prior.off_log_sd * prior.off_log_sd + loose),
          off_chance};
}

Counter CountingBias::of(const std::string& person) const {
  const auto found = counters.find(person);
  if (found != counters.end()) return found->second;
  Counter counter;
  counter.person = person;
  counter.log_sd_of_one = log_sd_of_one;
  put_ratio(newcomer(), counter);
  return counter;
}

CountingBias pool_counting(const std::map<std::string, PersonTally>& people) {
  const CountingCrew crew = fit_counting_crew(people);
  CountingBias bias;
  bias.crew_log_mean = crew.mean;
  bias.crew_log_sd_between = std::sqrt(crew.between);
  bias.crew_log_mean_sd = std::sqrt(crew.mean_variance);
  bias.log_sd_of_one = std::sqrt(crew.one);
  bias.off_chance = crew.off_chance;
  Counter newcomer;
  put_ratio(bias.newcomer(), newcomer);
  bias.crew_ratio = newcomer.ratio;
  for (const auto& [person, tally] : people) {
    bias.pairs += tally.pairs;
    bias.counters.emplace(person, make_counter(person, tally, crew));
  }
  look_for_signs(people, bias);
  return bias;
}

void look_for_signs(const std::map<std::string, PersonTally>& people, CountingBias& bias) {
  PersonTally all;
  for (const auto& [person, tally] : people) {
    all.log_squares += tally.log_squares;
    all.log_df += tally.log_df;
  }
  for (const auto& [person, tally] : people) {
    Counter& counter = bias.counters[person];
    counter.counts = tally.counts;
    counter.signs.clear();
    find_signs(tally, all, counter);
    find_ratio_signs(tally, counter);
  }
}

std::map<std::string, PersonTally> tally_counting(const ledger::Season& season,
                                                  std::int64_t cut_ms) {
  std::map<std::string, PersonTally> people;
  for (const auto& [id, block] : season.blocks()) {
    CountingTally tally;
    tally.take(season, block, cut_ms);
    tally.add_to(people);
  }
  add_leads(season, people);
  return people;
}

CountingBias counting_bias(const ledger::Season& season, std::int64_t now_ms) {
  return pool_counting(tally_counting(season, now_ms));
}

}  // namespace nthtree::advice
