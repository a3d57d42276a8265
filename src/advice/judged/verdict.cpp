// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/verdict.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "advice/internal/boundary.h"
#include "advice/internal/current.h"
#include "advice/internal/unpruned.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr double urgent_fraction = 0.6;  // so far off that it is told before the next tree
constexpr double more_trees_most = 99;   // further ahead nothing is foreseen
// Of runs that would be decided by then on their last count; more were decided on the way.
constexpr double decided_by_then = 0.40;
constexpr double sd_of_no_evidence = 5;
constexpr double miss_at_far = 0.10;  // chance not to tell one and a half tolerances

struct Evidence {
  double mean = 0, variance = 1;  // of ln(true mean ÷ target), own counts, everything inside
  double df = 8;
};

// One direction, mirrored so that further off is always upwards.
struct Side {
  double near = 0, far = 0;  // > 0
  Boundary boundary;
};

struct Sides {
  Side harder, lighter;
  double miscount_most = 0.025;  // chance that may be left to a counter nobody checked
};

// Unequal costs shift the thresholds as decision theory says: the odds at which telling pays are
// cost(wrongly told) ÷ cost(wrongly not told) (J. O. Berger, Statistical Decision Theory and
// Bayesian Analysis, 2nd ed. 1985, sec. 4.4). A spur too many costs `c` of one too few: harder is
// told at chance α·c, lighter at α / c; neither is ever told at worse than one in five.
Sides sides_of(const Standing& standing, const Settings& settings) {
  const double t = settings.tolerance_fraction, c = settings.too_many_cost_ratio;
  const double alpha = 1 - settings.sureness;
  const auto bounded = [](double a) { return std::clamp(a, 0.0005, 0.2); };
  const auto down = [](double f) { return -std::log1p(-std::min(f, 0.95)); };
  Sides sides;
  sides.miscount_most = bounded(alpha) / 2;
  const double sd = std::sqrt(std::max(1e-6, standing.count_log_variance));
  const auto side = [&](BandSide which, double near, double far, double a) {
    return Side{near, far, boundary_for(which, bounded(a), miss_at_far, (far - near) / sd)};
  };
  sides.harder = side(BandSide::over, std::log1p(t / 2), std::log1p(1.5 * t), alpha * c);
  sides.lighter = side(BandSide::under, down(t / 2), down(1.5 * t), alpha / c);
  return sides;
}

// A t quantile as the normal one of the same chance, so that one boundary serves all.
double as_normal(double t, double df) {
  const double tail = stats::t_cdf(-std::fabs(t), df);
  const double z = tail > 1e-300 ? -stats::normal_quantile(tail) : 37.0;
  return t < 0 ? -z : z;
}

// From a difference of logarithms to the cube-root scale, on which means of counts are nearest to
// normal (E. B. Wilson and M. M. Hilferty, Proc. Natl. Acad. Sci. 17, 1931, for the gamma shape;
// a log-normal's upper tail is a little heavier, METHODS.md has both measured).
double stretch(double difference) { return 3 * std::expm1(std::clamp(difference, -9.0, 9.0) / 3); }

bool tells_change(const Side& side, const Evidence& e, double sign) {
  const double sd = std::sqrt(e.variance);
  const double z = as_normal(sign * stretch(e.mean - sign * side.near) / sd, e.df);
  return z >= z_to_change(side.boundary, (side.far - side.near) / sd);
}

bool tells_clear(const Side& side, const Evidence& e, double sign) {
  const double sd = std::sqrt(e.variance);
  const double z = as_normal(-sign * stretch(e.mean - sign * side.far) / sd, e.df);
  return z >= z_to_clear(side.boundary, (side.far - side.near) / sd);
}

VerdictKind decide(const Sides& sides, const Evidence& e) {
  const bool over = tells_change(sides.harder, e, 1), under = tells_change(sides.lighter, e, -1);
  if (over != under) return over ? VerdictKind::harder : VerdictKind::lighter;
  if (!over && tells_clear(sides.harder, e, 1) && tells_clear(sides.lighter, e, -1)) {
    return VerdictKind::on_target;
  }
  return VerdictKind::count_more;
}

// Chance that the advice is not fair although the person counts unlike the crew: what telling it
// would cost if that is so. To change is fair more than half a tolerance off that way; on target,
// less than one and a half off.
double chance_of_miscount(VerdictKind kind, const Standing& standing, const Sides& sides) {
  const Miscount& miscount = standing.miscount;
  if (miscount.chance <= 0) return 0;
  const auto above = [&](double x) {
    return stats::t_cdf((miscount.off.mean - x) / miscount.off.sd, standing.tree_df);
  };
  switch (kind) {
    case VerdictKind::harder: return miscount.chance * (1 - above(sides.harder.near));
    case VerdictKind::lighter: return miscount.chance * above(-sides.lighter.near);
    case VerdictKind::on_target:
      return miscount.chance * (1 - above(-sides.lighter.far) + above(sides.harder.far));
    case VerdictKind::count_more: break;
  }
  return 0;
}

// Half of what may go wrong is kept for what counts say, half for who says it.
bool counting_is_trusted(VerdictKind kind, const Standing& standing, const Sides& sides) {
  return chance_of_miscount(kind, standing, sides) <= sides.miscount_most;
}

VerdictKind kind_now(const Standing& standing, const Sides& sides) {
  if (!standing.has_target || !(standing.own.sd < sd_of_no_evidence)) {
    return VerdictKind::count_more;
  }
  const VerdictKind kind =
      decide(sides, {standing.own.mean, standing.own.sd * standing.own.sd, standing.tree_df});
  return counting_is_trusted(kind, standing, sides) ? kind : VerdictKind::count_more;
}

// The other way round: the least ln(true mean ÷ target), mirrored, that tells a change, and the
// greatest that tells it is not as far off as `far`.
struct Ends {
  double change = 0, clear = 0;
};

Ends ends_of(const Side& side, double variance, double df) {
  const double sd = std::sqrt(variance), s = (side.far - side.near) / sd;
  const auto away = [&](double z) {
    return sd * stats::t_quantile(stats::normal_cdf(std::min(z, 8.0)), df) / 3;
  };
  return {side.near + 3 * std::log1p(away(z_to_change(side.boundary, s))),
          side.far + 3 * std::log1p(-std::min(away(z_to_clear(side.boundary, s)), 0.95))};
}

// What is foreseen: counts yet to come, with all that is not known of the level inside.
struct Foresight {
  // Answers that would be told of somebody who counts as this one may.
  bool harder = true, lighter = true, on_target = true;
  double own_precision = 0;    // of what own counts say
  double shared_variance = 0;  // what no count takes away
  double level_variance = 0;   // of the level about the best guess
};

// As if target and counting were known for certain.
Foresight foresight_all_known(const Standing& standing) {
  const double shared = standing.shared_log_sd * standing.shared_log_sd;
  Foresight seen;
  seen.own_precision = 1 / std::max(1e-9, standing.own.sd * standing.own.sd - shared);
  seen.level_variance = at_least_zero(standing.log_ratio.sd * standing.log_ratio.sd - shared);
  return seen;
}

// With the target and the counting as they are known; every answer believed.
Foresight foresight_believed(const Standing& standing) {
  Foresight seen = foresight_all_known(standing);
  seen.shared_variance = standing.shared_log_sd * standing.shared_log_sd;
  return seen;
}

// Chance that an answer stands after `more` further counts. Where the mean comes out is normal: the
// level as it is guessed, and the scatter of the counts to come.
double chance_decided(const Standing& standing, const Sides& sides, const Foresight& seen,
                      double more) {
  const double added = more / standing.count_log_variance;
  const double all = seen.own_precision + added, weight = added / all;
  const double variance = 1 / all + seen.shared_variance, df = standing.tree_df + more;
  const double middle =
      standing.own.mean + weight * (standing.log_ratio.mean - standing.own.mean);
  const double sd = weight * std::sqrt(seen.level_variance + 1 / added);
  const auto below = [&](double x) { return stats::normal_cdf((x - middle) / sd); };
  const Ends over = ends_of(sides.harder, variance, df);
  const Ends under = ends_of(sides.lighter, variance, df);
  const double low = std::max(-under.clear, -under.change);
  const double high = std::min(over.clear, over.change);
  return (seen.harder ? 1 - below(over.change) : 0) +
         (seen.lighter ? below(-under.change) : 0) +
         (seen.on_target ? at_least_zero(below(high) - below(low)) : 0);
}

// The number of further trees within which an answer comes as often as not; nothing where that
// takes more than can be foreseen.
std::optional<double> trees_until_decided(const Standing& standing, const Sides& sides,
                                          const Foresight& seen) {
  if (chance_decided(standing, sides, seen, more_trees_most) < decided_by_then) {
    return std::nullopt;
  }
  double none = 0, enough = more_trees_most;
  while (enough - none > 1) {
    const double middle = std::floor((none + enough) / 2);
    (chance_decided(standing, sides, seen, middle) < decided_by_then ? none : enough) = middle;
  }
  return enough;
}

std::optional<double> expected_more(const Standing& standing, const Sides& sides) {
  Foresight seen = foresight_believed(standing);
  seen.harder = counting_is_trusted(VerdictKind::harder, standing, sides);
  seen.lighter = counting_is_trusted(VerdictKind::lighter, standing, sides);
  seen.on_target = counting_is_trusted(VerdictKind::on_target, standing, sides);
  return trees_until_decided(standing, sides, seen);
}

// Chance that the advice is fair.
double sureness_of(VerdictKind kind, const Standing& standing, const Sides& sides) {
  switch (kind) {
    case VerdictKind::harder: return chance_above(standing, sides.harder.near);
    case VerdictKind::lighter: return chance_below(standing, -sides.lighter.near);
    case VerdictKind::on_target:
      return at_least_zero(1 - chance_above(standing, sides.harder.far) -
                           chance_below(standing, -sides.lighter.far));
    case VerdictKind::count_more: break;
  }
  return standing.confidence;
}

Reason reason_of_change(const Verdict& verdict, const Standing& standing) {
  const bool harder = verdict.kind == VerdictKind::harder;
  const auto& by = verdict.over_target;
  if (!harder && standing.is_target_out_of_reach()) {
    return all_stays_reason(standing.unpruned_spurs, standing.target.value);
  }
  Reason reason;
  reason.numbers = {{"spurs", std::round(std::fabs(by.value))},
                    {"low", std::round(at_least_zero(harder ? by.low : -by.high))},
                    {"high", std::round(at_least_zero(harder ? by.high : -by.low))},
                    {"counts", static_cast<double>(standing.counts)},
                    {"sureness", verdict.sureness}};
  if (verdict.is_urgent) {
    reason.id = harder ? "harder_far" : "lighter_far";
    reason.numbers.push_back({"times", std::exp(standing.log_ratio.mean)});
  } else {
    reason.id = harder ? "harder_sure" : "lighter_sure";
  }
  return reason;
}

// Why counting on would not do, where that is so: the target or this person's counting is too
// loosely known, or what the counts tell is not believed of somebody nobody re-counted.
enum class Hindrance { none, target, counting };

Hindrance hindrance_of(const Standing& standing, const Sides& sides, bool foreseen) {
  const Evidence now{standing.own.mean, standing.own.sd * standing.own.sd, standing.tree_df};
  if (!counting_is_trusted(decide(sides, now), standing, sides)) return Hindrance::counting;
  // Of somebody nobody re-counted it is not worth foreseeing what more counts would tell.
  if (standing.miscount.chance > sides.miscount_most) {
    return !foreseen && standing.target_log_sd > standing.bias_log_sd ? Hindrance::target
                                                                     : Hindrance::counting;
  }
  if (foreseen) return Hindrance::none;
  if (!trees_until_decided(standing, sides, foresight_all_known(standing))) {
    return Hindrance::none;  // it lies between two answers, whatever else were known
  }
  if (trees_until_decided(standing, sides, foresight_believed(standing))) {
    return Hindrance::counting;
  }
  return standing.target_log_sd >= standing.bias_log_sd ? Hindrance::target : Hindrance::counting;
}

// Sets the trees that are expected, where counting is what helps, and says why.
void reason_to_count(const Standing& standing, const Sides& sides, Verdict& verdict) {
  const double counts = standing.counts;
  if (counts == 0 && standing.own.sd >= sd_of_no_evidence) {
    verdict.reason = {"no_counts", {}};
    return;
  }
  const std::optional<double> more = expected_more(standing, sides);
  const Hindrance hindrance = hindrance_of(standing, sides, more.has_value());
  const double spurs = std::round(std::fabs(standing.over_target.value));
  if (hindrance == Hindrance::target) {
    const double branches = std::max(2, standing.branches_more);
    verdict.reason = {"count_more_target", {{"more_branches", branches}}};
  } else if (hindrance == Hindrance::counting) {
    verdict.reason = {"count_more_bias", {{"pairs", static_cast<double>(standing.checks)}}};
  } else if (!more) {
    verdict.reason = {"count_more_many", {{"counts", counts}, {"most", more_trees_most}}};
  } else {
    verdict.expected_more_trees = *more;
    if (verdict.leans_harder || verdict.leans_lighter) {
      verdict.reason = {verdict.leans_harder ? "count_more_lean_harder" : "count_more_lean_lighter",
                        {{"spurs", spurs}, {"counts", counts}, {"more", *more}}};
    } else {
      verdict.reason = {"count_more_few", {{"counts", counts}, {"more", *more}}};
    }
  }
}

void add_notes(const Standing& standing, Verdict& verdict) {
  const double cv_percent =
      std::round(100 * std::sqrt(std::expm1(standing.tree_log_sd * standing.tree_log_sd)));
  if (standing.mixed) verdict.notes.push_back({"note_two_kinds", {{"cv_percent", cv_percent}}});
  if (standing.bare_trees) verdict.notes.push_back({"note_bare_trees", {}});
  if (standing.neighbours_alike) verdict.notes.push_back({"note_neighbours_alike", {}});
  if (standing.rows_differ) verdict.notes.push_back({"note_rows_differ", {}});
  if (standing.few_rows) verdict.notes.push_back({"note_few_rows", {}});
  const bool tells = verdict.kind == VerdictKind::harder || verdict.kind == VerdictKind::lighter;
  if (tells && !verdict.is_urgent && standing.little_known) {
    verdict.notes.push_back({"note_little_known", {}});
  }
}

}  // namespace

VerdictKind kind_of(const Standing& standing, const Settings& settings) {
  return kind_now(standing, sides_of(standing, settings));
}

Verdict judge(const Standing& standing, const Settings& settings) {
  Verdict verdict;
  if (!standing.has_target) {
    verdict.reason = {"no_target", {}};
    return verdict;
  }
  const Sides sides = sides_of(standing, settings);
  const bool has_evidence = standing.own.sd < sd_of_no_evidence;
  verdict.kind = kind_now(standing, sides);
  verdict.over_target = standing.over_target;
  verdict.hands = hand_terms(verdict.over_target.value, settings.limbs_per_tree,
                             standing.spurs_per_tree.value);
  verdict.sureness = sureness_of(verdict.kind, standing, sides);
  const double ratio =
      std::exp(standing.log_ratio.mean) * standing.target.value / standing.reachable_spurs();
  switch (verdict.kind) {
    case VerdictKind::harder:
    case VerdictKind::lighter:
      verdict.is_urgent = ratio > 1 + urgent_fraction || ratio < 1 / (1 + urgent_fraction);
      verdict.reason = reason_of_change(verdict, standing);
      break;
    case VerdictKind::on_target:
      verdict.reason = {"on_target_sure", {{"counts", static_cast<double>(standing.counts)},
                                           {"over", std::round(standing.over_target.value)},
                                           {"sureness", verdict.sureness}}};
      break;
    case VerdictKind::count_more:
      verdict.leans_harder = has_evidence && standing.probability_over > 0.6;
      verdict.leans_lighter = has_evidence && standing.probability_under > 0.6;
      reason_to_count(standing, sides, verdict);
      break;
  }
  add_notes(standing, verdict);
  return verdict;
}

Verdict verdict_for(const Standing& standing, const Settings& settings) {
  Verdict verdict = judge(standing, settings);
  const int far = standing.far_over + standing.far_under;
  verdict.calls_lead = far >= 2;
  verdict.is_urgent = verdict.is_urgent || verdict.calls_lead;
  const bool says_so = (verdict.kind == VerdictKind::harder && standing.far_under == 0) ||
                       (verdict.kind == VerdictKind::lighter && standing.far_over == 0);
  if (says_so || !(verdict.calls_lead || standing.last_is_far)) return verdict;
  verdict.kind = VerdictKind::count_more;
  verdict.expected_more_trees = 0;  // what such a tree means is not a matter of how many more
  verdict.reason = verdict.calls_lead
                       ? Reason{"far_trees", {{"trees", static_cast<double>(far)}}}
                       : Reason{"far_tree_one", {}};
  return verdict;
}

BoundaryCheck check_boundary(const Standing& standing, const Settings& settings) {
  const Sides sides = sides_of(standing, settings);
  BoundaryCheck check{.count_variance = standing.count_log_variance,
                      .mean = standing.own.mean,
                      .sd = standing.own.sd,
                      .df = standing.tree_df,
                      .harder = {},
                      .lighter = {}};
  const auto fill = [&](const Side& side, double sign) {
    SideCheck one{.near = side.near, .far = side.far};
    one.past_near = sign * stretch(check.mean - sign * side.near);
    one.short_of_far = -sign * stretch(check.mean - sign * side.far);
    one.z = as_normal(one.past_near / check.sd, check.df);
    one.z_clear = as_normal(one.short_of_far / check.sd, check.df);
    one.separation = (side.far - side.near) / check.sd;
    one.z_needed = z_to_change(side.boundary, one.separation);
    one.z_clear_needed = z_to_clear(side.boundary, one.separation);
    one.a = side.boundary.a;
    one.b = side.boundary.b;
    one.z_early = side.boundary.z_early;
    one.terms = side.boundary.terms;
    const double steps = one.separation / side.boundary.step;
    one.counts_worth = std::max(1.0, steps * steps);
    one.early = one.z_needed < one.separation / 2 + one.b / one.separation - 1e-12;
    return one;
  };
  check.harder = fill(sides.harder, 1);
  check.lighter = fill(sides.lighter, -1);
  return check;
}

Verdict verdict_of(const ledger::Season& season, const std::string& block,
                   const std::string& person, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  const Settings settings = found ? settings_for(season, *found) : Settings{};
  return verdict_for(standing_of(season, block, person, now_ms), settings);
}

const char* name_of(VerdictKind kind) {
  switch (kind) {
    case VerdictKind::harder: return "harder";
    case VerdictKind::lighter: return "lighter";
    case VerdictKind::on_target: return "on_target";
    case VerdictKind::count_more: break;
  }
  return "count_more";
}

}  // namespace nthtree::advice
