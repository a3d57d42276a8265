// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/gangs.h"

#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr std::string_view prefix = "tomorrow/";

std::string sent_to(const Frame& frame, const advice::Gang& gang) {
  return frame.typed(sent_field(gang));
}

}  // namespace

std::string sent_field(const advice::Gang& gang) { return std::string(prefix) + gang.key(); }

bool is_sent_elsewhere(const Frame& frame) {
  for (auto field = frame.session.fields.lower_bound(std::string(prefix));
       field != frame.session.fields.end() && field->first.rfind(prefix, 0) == 0; ++field) {
    if (!field->second.empty()) return true;
  }
  return false;
}

const advice::Tomorrow& tomorrow_of(Frame& frame) {
  const advice::Tomorrow& proposed = frame.cache.tomorrow(frame.season, {}, frame.now_ms());
  if (!is_sent_elsewhere(frame)) return proposed;
  std::map<std::string, std::string> sent;
  for (const advice::Gang& gang : proposed.gangs) {
    const std::string block = sent_to(frame, gang);
    sent[gang.key()] = block.empty() ? gang.block : block;
  }
  return frame.cache.tomorrow(frame.season, sent, frame.now_ms());
}

std::string gang_text(const ledger::Season& season, const advice::Gang& gang) {
  if (!gang.name.empty()) return widgets::isolated(gang.name);
  if (gang.block_now.empty()) return tr("gang.new");
  return tr("gang.of_block", {{"block", block_text(season, gang.block_now)}});
}

}  // namespace nthtree::screens
