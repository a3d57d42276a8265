// SPDX-License-Identifier: Apache-2.0
#include "advice/known/agreement.h"

#include <cmath>

#include "advice/internal/context.h"
#include "advice/internal/counting_tally.h"
#include "stats/limits_of_agreement.h"

namespace nthtree::advice {

CountAgreement agreement_of(const std::vector<CountedTwice>& pairs) {
  CountAgreement agreement;
  agreement.pairs = static_cast<int>(pairs.size());
  std::vector<double> checks, tags;
  for (const CountedTwice& pair : pairs) {
    // Half a spur more on both, as everywhere: a tree of none has a logarithm too.
    checks.push_back(std::log(pair.check + 0.5));
    tags.push_back(std::log(pair.tag + 0.5));
  }
  const auto limits = stats::limits_of_agreement(checks, tags);
  if (!limits) return agreement;
  agreement.known = true;
  agreement.log_mean = limits->mean;
  agreement.log_sd = limits->sd;
  agreement.ratio = std::exp(limits->mean);
  agreement.low = std::exp(limits->low);
  agreement.high = std::exp(limits->high);
  agreement.size_correlation = limits->size_correlation;
  return agreement;
}

CountAgreements count_agreements(const ledger::Season& season, std::int64_t now_ms) {
  CountAgreements all;
  std::vector<CountedTwice> crew;
  for (const auto& [person, tally] : tally_counting(season, cut_for(season, now_ms))) {
    if (tally.is_lead || tally.pairs == 0) continue;
    all.people[person] = agreement_of(tally.counted_twice);
    crew.insert(crew.end(), tally.counted_twice.begin(), tally.counted_twice.end());
  }
  all.crew = agreement_of(crew);
  return all;
}

}  // namespace nthtree::advice
