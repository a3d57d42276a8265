// SPDX-License-Identifier: Apache-2.0
// Overdispersed counts: negative binomial fits and dispersion tests.
#include "reference/book.h"
#include "stats/dispersion_test.h"
#include "stats/negative_binomial.h"
#include "stats/quantiles.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void mites(Book& book) {
  const auto& counts = book.sample("mites");
  const auto fit = fit_negative_binomial(counts);
  if (!fit) return book.problem(fit.error().text());
  book.compare("mean", fit->mean);
  book.compare("variance", fit->variance);
  book.compare("k_moments", fit_negative_binomial_moments(counts)->k);
  book.compare("k_zeros", fit_negative_binomial_zeros(counts)->k);
  book.compare("k", fit->k);
  book.compare("k_more", fit->k);
  book.compare("k_se", fit->k_standard_error);
  book.compare("log_likelihood", fit->log_likelihood);
  for (int i = 0; i < 8; ++i) {
    book.compare("expected " + std::to_string(i),
                 150 * negative_binomial_mass(i, fit->mean, fit->k));
  }
  const auto spread = poisson_dispersion(counts);
  book.compare("ratio", spread->ratio);
  book.compare("chi", spread->chi_squared);
  book.compare("chi_p", spread->p_over);
  book.compare("crowding", spread->mean_crowding);
  book.compare("morisita", spread->morisita);
}

void webworms(Book& book) {
  for (const std::string treatment : {"T1", "T2", "T3", "T4"}) {
    std::vector<double> counts;
    const auto frequencies = book.sample(treatment);
    for (std::size_t count = 0; count < frequencies.size(); ++count) {
      for (int i = 0; i < frequencies[count]; ++i) counts.push_back(static_cast<double>(count));
    }
    const auto fit = fit_negative_binomial(counts);
    if (!fit) return book.problem(fit.error().text());
    book.compare(treatment + ".mean", fit->mean);
    book.compare(treatment + ".variance", fit->variance);
    book.compare(treatment + ".k_moments", fit_negative_binomial_moments(counts)->k);
    book.compare(treatment + ".k", fit->k);
    book.compare(treatment + ".log_likelihood", fit->log_likelihood);
    if (treatment == "T1") book.compare("T1.k_se", fit->k_standard_error);
  }
}

void quine(Book& book) {
  const auto fit = fit_negative_binomial(book.sample("days"));
  if (!fit) return book.problem(fit.error().text());
  book.compare("mean", fit->mean);
  book.compare("variance", fit->variance);
  book.compare("k", fit->k);
  book.compare("k_se", fit->k_standard_error);
  book.compare("log_likelihood", fit->log_likelihood);
}

void wetherill(Book& book) {
  const auto binomial = binomial_dispersion(book.sample("binomial"), 50);
  book.compare("b.ratio", binomial->ratio);
  book.compare("b.chi", binomial->chi_squared);
  book.compare("b.p", binomial->p_over);
  const auto poisson = poisson_dispersion(book.sample("poisson"));
  book.compare("p.ratio", poisson->ratio);
  book.compare("p.chi", poisson->chi_squared);
  book.compare("p.p", poisson->p_over);
}

}  // namespace

std::vector<NamedTopic> count_topics() {
  return {{"bliss_fisher_mites.json", mites},
          {"beall_webworms.json", webworms},
          {"quine_days.json", quine},
          {"wetherill_dispersion.json", wetherill}};
}

}  // namespace nthtree::reference
