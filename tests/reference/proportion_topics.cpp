// SPDX-License-Identifier: Apache-2.0
// Binomial proportions.
#include <cstdio>
#include <map>

#include "reference/published_values.h"
#include "stats/proportion.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

const std::map<std::string, ProportionMethod> methods = {
    {"wilson", ProportionMethod::wilson},
    {"wilson_continuity", ProportionMethod::wilson_continuity},
    {"clopper_pearson", ProportionMethod::clopper_pearson},
    {"jeffreys", ProportionMethod::jeffreys},
    {"agresti_coull", ProportionMethod::agresti_coull}};

// Ids read "wilson 81/263 0.95 low".
void intervals(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    char method[32], end[8];
    double x = 0, n = 0, confidence = 0;
    if (std::sscanf(id.c_str(), "%31s %lf/%lf %lf %7s", method, &x, &n, &confidence, end) != 5) {
      published.problem("cannot read " + id);
      continue;
    }
    const auto interval = proportion_interval(methods.at(method), x, n, confidence);
    published.compare(id, std::string(end) == "low" ? interval->low : interval->high);
  }
}

void handbook(PublishedValues& published) {
  const auto limit = proportion_lower_limit(ProportionMethod::wilson, 4, 20, 0.90);
  published.compare("lower", *limit);
  published.compare("lower_more", *limit);
}

}  // namespace

std::vector<NamedTopic> proportion_topics() {
  return {{"newcombe_proportions.json", intervals},
          {"r_proportions.json", intervals},
          {"handbook_proportions.json", handbook}};
}

}  // namespace nthtree::reference
