// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/stretch.h"

#include "orchard/row_list.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

BackSign sign_of(advice::Back what) {
  switch (what) {
    case advice::Back::go: return {tr("back.go"), Tone::trouble};
    case advice::Back::look_first: return {tr("back.look"), Tone::caution};
    case advice::Back::too_few: return {tr("back.few"), Tone::plain};
    case advice::Back::leave: break;
  }
  return {tr("back.leave"), Tone::good};
}

widgets::VerdictSign stand_of(const advice::Stretch& stretch) {
  if (stretch.chance_over > 0.5) return widgets::VerdictSign::harder;
  if (stretch.chance_under > 0.5) return widgets::VerdictSign::lighter;
  return stretch.counts > 0 ? widgets::VerdictSign::on_target : widgets::VerdictSign::count_more;
}

std::string stretch_text(const ledger::Season& season, const advice::Stretch& stretch) {
  return tr_count("back.where", static_cast<long>(stretch.rows.size()),
                  {{"block", block_text(season, stretch.block)},
                   {"rows", orchard::row_list_text(stretch.rows)}});
}

std::string whose_text(Frame& frame, const advice::Stretch& stretch) {
  const std::int64_t first = frame.season.day_of(stretch.from_ms);
  const std::int64_t last = frame.season.day_of(stretch.to_ms);
  const std::string when = first == last ? date_text(first)
                                         : tr("back.days", {{"first", date_text(first)},
                                                            {"last", date_text(last)}});
  std::string text = tr("back.whose", {{"name", person_text(frame.season, stretch.person)},
                                       {"when", when}});
  if (stretch.inferred) text += " " + tr("rows.inferred");
  return text;
}

std::string estimate_text(const orchard::Estimate& estimate) {
  return whole(estimate.value) + " (" + range_text(estimate.low, estimate.high) + ")";
}

}  // namespace nthtree::screens
