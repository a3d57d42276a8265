// SPDX-License-Identifier: Apache-2.0
//
// What the app keeps on the phone beside records: settings and half-done counts. The first byte
// says which; what can be read is written again and reads back as the same, and a count from it is
// a number that a person could have tapped or typed.
#include <cstdint>

#include "screens/intents.h"
#include "screens/session.h"

using namespace nthtree;
using namespace nthtree::screens;

namespace {

void check_drafts(std::string_view text) {
  const auto drafts = read_drafts(text);
  if (!drafts) return;
  if (drafts->count) NTHTREE_ASSERT(drafts->count->spurs() >= 0);
  const std::string once = write_drafts(*drafts);
  const auto again = read_drafts(once);
  NTHTREE_ASSERT(again.has_value());
  NTHTREE_ASSERT(write_drafts(*again) == once);
  Session session;
  session.person = "p1";
  for (const char* person : {"p1", "p2"}) restore_drafts(session, {}, person, text);
  NTHTREE_ASSERT(!session.parked.empty());
}

void check_memory(std::string_view text) {
  Session session;
  const Preferences before = session.preferences;
  if (!read_memory(session, text)) {
    NTHTREE_ASSERT(session.preferences == before && session.person.empty());
    return;
  }
  const std::string once = write_memory(session);
  Session again;
  NTHTREE_ASSERT(read_memory(again, once));
  NTHTREE_ASSERT(write_memory(again) == once);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data) + 1, size - 1);
  data[0] == 'm' ? check_memory(text) : check_drafts(text);
  return 0;
}
