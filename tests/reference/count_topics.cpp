// SPDX-License-Identifier: Apache-2.0
// Overdispersed counts: negative binomial fits.
#include "reference/published_values.h"
#include "stats/negative_binomial.h"
#include "stats/quantiles.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void mites(PublishedValues& published) {
  const auto& counts = published.sample("mites");
  const auto fit = fit_negative_binomial(counts);
  if (!fit) return published.problem(fit.error().text());
  published.compare("mean", fit->mean);
  published.compare("variance", fit->variance);
  published.compare("k_moments", fit_negative_binomial_moments(counts)->k);
  published.compare("k_zeros", fit_negative_binomial_zeros(counts)->k);
  published.compare("k", fit->k);
  published.compare("k_more", fit->k);
  published.compare("k_se", fit->k_standard_error);
  published.compare("log_likelihood", fit->log_likelihood);
  for (int i = 0; i < 8; ++i) {
    published.compare("expected " + std::to_string(i),
                      150 * negative_binomial_mass(i, fit->mean, fit->k));
  }
}

void webworms(PublishedValues& published) {
  for (const std::string treatment : {"T1", "T2", "T3", "T4"}) {
    std::vector<double> counts;
    const auto frequencies = published.sample(treatment);
    for (std::size_t count = 0; count < frequencies.size(); ++count) {
      for (int i = 0; i < frequencies[count]; ++i) counts.push_back(static_cast<double>(count));
    }
    const auto fit = fit_negative_binomial(counts);
    if (!fit) return published.problem(fit.error().text());
    published.compare(treatment + ".mean", fit->mean);
    published.compare(treatment + ".variance", fit->variance);
    published.compare(treatment + ".k_moments", fit_negative_binomial_moments(counts)->k);
    published.compare(treatment + ".k", fit->k);
    published.compare(treatment + ".log_likelihood", fit->log_likelihood);
    if (treatment == "T1") published.compare("T1.k_se", fit->k_standard_error);
  }
}

void quine(PublishedValues& published) {
  const auto fit = fit_negative_binomial(published.sample("days"));
  if (!fit) return published.problem(fit.error().text());
  published.compare("mean", fit->mean);
  published.compare("variance", fit->variance);
  published.compare("k", fit->k);
  published.compare("k_se", fit->k_standard_error);
  published.compare("log_likelihood", fit->log_likelihood);
}

}  // namespace

std::vector<NamedTopic> count_topics() {
  return {{"bliss_fisher_mites.json", mites},
          {"beall_webworms.json", webworms},
          {"quine_days.json", quine}};
}

}  // namespace nthtree::reference
