// SPDX-License-Identifier: Apache-2.0
#include "advice/known/tag_spread.h"

#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "advice/known/planting.h"
#include "stats/log_normal.h"
#include "stats/negative_binomial.h"
#include "stats/stop_lines.h"
#include "stats/summary.h"
#include "stats/systematic.h"

namespace nthtree::advice {
namespace {

constexpr std::size_t counts_of_group = 3;
constexpr std::size_t groups_least = 3;

// The last tag of each tree, in walking order.
std::vector<double> tags_in_order(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  std::map<std::int64_t, double> by_tree;
  for_current(block.tag_counts, cut_ms, [&](const auto& entry) {
    by_tree[tree_key(entry.body.tree)] = entry.body.spurs;
  });
  std::vector<double> tags;
  for (const auto& [tree, spurs] : by_tree) tags.push_back(spurs);
  return tags;
}

void fit_shapes(const std::vector<double>& tags, TagSpread& spread) {
  const auto nb = stats::fit_negative_binomial(tags);
  const auto moments = stats::fit_negative_binomial_moments(tags);
  if (!nb || !moments || nb->mean <= 0) return;
  spread.poisson = nb->poisson();
  if (!nb->poisson()) spread.k = nb->k, spread.k_se = nb->k_standard_error;
  if (!moments->poisson()) spread.k_moments = moments->k;
  spread.shape = spread.poisson ? SpreadShape::poisson : SpreadShape::negative_binomial;
  if (const auto fit = stats::goodness_of_fit(tags, *nb)) {
    spread.nb_chi_squared = fit->chi_squared;
    spread.nb_df = fit->df;
    spread.nb_p = fit->p_value;
  }
  const auto ln = stats::fit_log_normal(tags);
  if (!ln || !(ln->log_sd > 0)) return;  // a bare tree has no logarithm
  spread.log_mean = ln->log_mean;
  spread.log_sd = ln->log_sd;
  spread.likelihood_gain = nb->log_likelihood - ln->log_likelihood;
  if (spread.likelihood_gain < 0) spread.shape = SpreadShape::log_normal;
  if (const auto fit = stats::goodness_of_fit(tags, *ln)) {
    spread.ln_chi_squared = fit->chi_squared;
    spread.ln_df = fit->df;
    spread.ln_p = fit->p_value;
  }
}

struct Groups {
  std::vector<double> means, variances;
};

Groups days_of_people(const ledger::Season& season, std::int64_t cut_ms) {
  Groups groups;
  for (const auto& [id, block] : season.blocks()) {
    std::map<std::pair<std::string, std::int64_t>, std::vector<double>> days;
    for_current(block.tag_counts, cut_ms, [&](const auto& entry) {
      days[{entry.author, season.day_of(entry.at_ms())}].push_back(entry.body.spurs);
    });
    for (const auto& [day, counts] : days) {
      if (counts.size() < counts_of_group) continue;
      const auto summary = stats::summarize(counts);
      if (!summary || !(summary->mean > 0) || !(summary->variance > 0)) continue;
      groups.means.push_back(summary->mean);
      groups.variances.push_back(summary->variance);
    }
  }
  return groups;
}

void finish(StopLine& line, double trees, const base::Result<double>& total,
            const TagSpread& spread) {
  line.known = true;
  line.trees_needed = trees;
  if (total) line.total_needed = *total;
  line.reached = spread.counts >= trees;
}

void green_line(const Groups& groups, TagSpread& spread) {
  if (groups.means.size() < groups_least) return;
  const auto law = stats::fit_taylor_law(groups.means, groups.variances);
  // Means too much alike give any slope: a law outside these is none (b of counts lies in 1 … 2).
  if (!law || !(law->b > 0 && law->b < 3)) return;
  const auto trees =
      stats::taylor_sample_size(law->a, law->b, spread.mean, spread.precision);
  if (!trees) return;
  spread.green.first = law->a;
  spread.green.second = law->b;
  finish(spread.green, *trees,
         // At b = 2 the total says nothing, and above it more would be worse: then trees alone.
         law->b < 1.95 ? stats::green_stop_line(law->a, law->b, spread.precision, spread.counts)
                       : base::Error{"out_of_range", "no total decides", "b"}, spread);
}

void kuno_line(const Groups& groups, TagSpread& spread) {
  double alpha = 0, beta = spread.poisson || !(spread.k > 0) ? 1 : 1 + 1 / spread.k;
  if (groups.means.size() >= groups_least) {
    const auto law = stats::fit_iwao_law(groups.means, groups.variances);
    if (law && law->alpha > -1 && law->beta >= 1) alpha = law->alpha, beta = law->beta;
  }
  spread.kuno.first = alpha;
  spread.kuno.second = beta;
  const double trees = ((alpha + 1) / spread.mean + beta - 1) /
                       (spread.precision * spread.precision);
  finish(spread.kuno, trees,
         stats::kuno_stop_line(alpha, beta, spread.precision, spread.counts), spread);
}

}  // namespace

TagSpread tag_spread(const ledger::Season& season, const std::string& block,
                     std::int64_t now_ms, double relative_half_width) {
  TagSpread spread;
  spread.precision = relative_half_width / z_90;
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return spread;
  const std::int64_t cut_ms = cut_for(season, now_ms);
  const std::vector<double> tags = tags_in_order(*found, cut_ms);
  const auto summary = stats::summarize(tags);
  if (!summary) return spread;
  spread.counts = static_cast<int>(tags.size());
  spread.total = summary->sum;
  spread.mean = summary->mean;
  spread.sd = summary->sd;
  spread.squares = summary->variance * (spread.counts - 1);
  spread.cv = spread.mean > 0 ? spread.sd / spread.mean : 0;
  if (tags.size() < 2 || !(spread.mean > 0)) return spread;
  fit_shapes(tags, spread);
  const double trees =
      std::fmax(static_cast<double>(planting_of(*found, cut_ms).bearing()), spread.counts);
  spread.correction = stats::finite_population_correction(spread.counts, trees);
  if (const auto mean = stats::systematic_estimate(tags, trees)) {
    spread.se_successive = std::sqrt(mean->variance_successive);
    spread.se_random = std::sqrt(mean->variance_random);
  }
  for (std::size_t i = 1; i < tags.size(); ++i) {
    spread.successive_squares += (tags[i] - tags[i - 1]) * (tags[i] - tags[i - 1]);
  }
  const Groups groups = days_of_people(season, cut_ms);
  spread.groups = static_cast<int>(groups.means.size());
  green_line(groups, spread);
  kuno_line(groups, spread);
  return spread;
}

}  // namespace nthtree::advice
