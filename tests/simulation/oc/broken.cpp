// SPDX-License-Identifier: Apache-2.0
#include "broken.h"

namespace nthtree::oc {
namespace {

constexpr int counts_a_day = 100;

bool says_so(const Ours& ours) {
  return !advice::judge(ours.standing(), ours.settings()).notes.empty();
}

}  // namespace

std::vector<Broken> broken_worlds() {
  return {{"as assumed (negative binomial)", {}},
          {"log-normal trees", {.shape = Shape::log_normal}},
          {"one tree in twenty bare", {.zero_share = 0.05}},
          {"one tree in ten bare", {.zero_share = 0.10}},
          {"three in ten trees twice as strong", {.strong_share = 0.3, .strong_ratio = 2}},
          {"a careless counter, 25 % scatter", {.counter_sd = 0.25}},
          {"rows alike, ten counts a row", {.counts_a_row = 10}},
          {"rows differ by 20 %, three counts a row", {.row_sd = 0.2, .counts_a_row = 3}},
          {"rows differ by 20 %, ten counts a row", {.row_sd = 0.2, .counts_a_row = 10}},
          {"neighbours alike, 0.4", {.autocorrelation = 0.4}},
          {"neighbours alike, 0.6", {.autocorrelation = 0.6}}};
}

BrokenRates broken_days(const Truth& truth, int others_counts, int days, std::uint64_t seed) {
  Truth elsewhere = truth;
  elsewhere.ratio = 1;
  Ours ours({}, {.others = others_counts ? &elsewhere : nullptr, .others_counts = others_counts});
  const double half = Known{}.tolerance / 2;
  BrokenRates rates;
  base::Random seeds(seed);
  for (int day = 0; day < days; ++day) {
    TreeLine line(truth, seeds.next());
    ours.restart();
    double levels = 0;
    bool told = false;
    for (int n = 1; n <= counts_a_day; ++n) {
      const VerdictKind now = ours.add(line.next());
      levels += line.level();
      if (told || (now != VerdictKind::harder && now != VerdictKind::lighter)) continue;
      told = true;
      rates.told += 1;
      rates.unsaid += !says_so(ours);
      const double off = levels / n - 1;
      rates.row_wrong += now == VerdictKind::harder ? off < half : off > -half;
    }
    rates.noted += says_so(ours);
  }
  for (double* sum : {&rates.told, &rates.unsaid, &rates.row_wrong, &rates.noted}) *sum /= days;
  return rates;
}

}  // namespace nthtree::oc
