// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/against_crew.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/current.h"
#include "advice/judged/verdict.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

// What is known of a level but for the target, and but for what the crew misses on average.
double variance_alone(const Standing& pruner, double crew_bias_variance) {
  const double own = squared(pruner.own.sd) - squared(pruner.target_log_sd);
  return std::max(1e-9, own - squared(pruner.crew_bias_share) * crew_bias_variance);
}

// Weighed by precision, but no one by more than twice an even share before the weights are made to
// add up to one: a single old hand with many counts is not the crew.
std::vector<CrewPart> others_of(const BlockStandings& all, const std::string& person,
                                double bias_variance) {
  std::vector<CrewPart> parts;
  double precision = 0, weights = 0;
  for (const Standing& mate : all.pruners) {
    if (mate.person == person || mate.counts + mate.counts_before < counts_of_other_least) continue;
    const double variance = variance_alone(mate, bias_variance);
    parts.push_back({mate.person, mate.own.mean, variance, 0});
    precision += 1 / variance;
  }
  const double most = 2.0 / static_cast<double>(std::max<std::size_t>(1, parts.size()));
  for (CrewPart& part : parts) {
    part.weight = std::min(1 / part.variance / precision, most);
    weights += part.weight;
  }
  for (CrewPart& part : parts) part.weight /= weights;
  return parts;
}

AgainstCrewKind kind_from(VerdictKind kind) {
  switch (kind) {
    case VerdictKind::harder: return AgainstCrewKind::more;
    case VerdictKind::lighter: return AgainstCrewKind::fewer;
    case VerdictKind::on_target: return AgainstCrewKind::alike;
    case VerdictKind::count_more: break;
  }
  return AgainstCrewKind::open;
}

double sureness_of(const AgainstCrew& answer, double df, double tolerance) {
  const auto below = [&](double edge) {
    return stats::t_cdf((edge - answer.difference.mean) / answer.difference.sd, df);
  };
  switch (answer.kind) {
    case AgainstCrewKind::more: return 1 - below(std::log1p(tolerance / 2));
    case AgainstCrewKind::fewer: return below(std::log1p(-tolerance / 2));
    case AgainstCrewKind::alike:
      return below(std::log1p(1.5 * tolerance)) -
             below(std::log1p(-std::min(0.95, 1.5 * tolerance)));
    case AgainstCrewKind::open:
    case AgainstCrewKind::too_few_others: break;
  }
  return 0;
}

Reason reason_of(const AgainstCrew& answer, int counts) {
  const double percent = std::round(100 * std::fabs(answer.fraction.value));
  const double others = answer.others;
  switch (answer.kind) {
    case AgainstCrewKind::more:
    case AgainstCrewKind::fewer:
      return {answer.kind == AgainstCrewKind::more ? "crew_more" : "crew_fewer",
              {{"percent", percent}, {"others", others}, {"counts", static_cast<double>(counts)},
               {"sureness", answer.sureness}}};
    case AgainstCrewKind::alike: return {"crew_alike", {{"others", others}}};
    case AgainstCrewKind::open: return {"crew_open", {{"others", others}}};
    case AgainstCrewKind::too_few_others: break;
  }
  return {"crew_few_others", {{"others", others}}};
}

void fill_difference(const BlockStandings& all, const Standing& own, double bias_variance,
                     AgainstCrew& answer) {
  answer.own_mean = own.own.mean;
  answer.own_variance = variance_alone(own, bias_variance);
  double variance = answer.own_variance, bias_share = own.crew_bias_share;
  for (const CrewPart& part : answer.parts) {
    answer.others_mean += part.weight * part.mean;
    variance += squared(part.weight) * part.variance;
    bias_share -= part.weight * all.of(part.person)->crew_bias_share;
  }
  answer.shared_variance = squared(bias_share) * bias_variance;
  answer.difference = {answer.own_mean - answer.others_mean,
                       std::sqrt(variance + answer.shared_variance)};
}

void fill_answer(const Standing& own, const Settings& settings, AgainstCrew& answer) {
  // The verdict's own lines, with the difference in the place of the level; costs of a spur too
  // many and too few are the target's matter.
  Standing difference = own;
  difference.has_target = true;
  difference.own = answer.difference;
  Settings even = settings;
  even.too_many_cost_ratio = 1;
  answer.kind = kind_from(kind_of(difference, even));
  const orchard::Estimate ratio =
      log_estimate(answer.difference.mean, std::min(answer.difference.sd, 3.0), 1,
                   stats::t_quantile(0.95, std::max(1.0, own.tree_df)));
  const double spurs = own.target.value * std::exp(answer.others_mean);
  const auto from = [](const orchard::Estimate& e, double scale) {
    return orchard::Estimate{scale * (e.value - 1), scale * (e.low - 1), scale * (e.high - 1)};
  };
  answer.fraction = from(ratio, 1);
  answer.spurs_per_tree_over_crew = from(ratio, spurs);
  answer.sureness = sureness_of(answer, own.tree_df, settings.tolerance_fraction);
}

}  // namespace

AgainstCrew against_crew(const BlockStandings& standings, const std::string& person,
                         const Settings& settings) {
  AgainstCrew answer;
  const double bias_variance = squared(standings.crew_bias_log_sd);
  answer.parts = others_of(standings, person, bias_variance);
  answer.others = static_cast<int>(answer.parts.size());
  const Standing* own = standings.of(person);
  if (own && own->counts + own->counts_before > 0 && answer.others >= others_least) {
    fill_difference(standings, *own, bias_variance, answer);
    fill_answer(*own, settings, answer);
  }
  answer.reason = reason_of(answer, own ? own->counts : 0);
  return answer;
}

const char* name_of(AgainstCrewKind kind) {
  switch (kind) {
    case AgainstCrewKind::open: return "open";
    case AgainstCrewKind::more: return "more";
    case AgainstCrewKind::fewer: return "fewer";
    case AgainstCrewKind::alike: return "alike";
    case AgainstCrewKind::too_few_others: break;
  }
  return "too_few_others";
}

}  // namespace nthtree::advice
