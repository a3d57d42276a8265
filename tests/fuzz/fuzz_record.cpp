// SPDX-License-Identifier: Apache-2.0
//
// One record from outside: reading it, moving it to another id, taking it into a season.
#include <cstdint>

#include "ledger/plain_record.h"
#include "ledger/season.h"
#include "sync/rehome.h"

using namespace nthtree;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const auto record = ledger::read_record(bytes);
  const auto id = sync::well_formed_id(bytes);
  // The quick reader takes nothing that the judging one refuses, and reads the same from it.
  const auto judged = ledger::read_any_record(bytes);
  NTHTREE_ASSERT(record.ok() == judged.ok());
  if (record) {
    ledger::Season one, other;
    one.apply(*record);
    other.apply(*judged);
    NTHTREE_ASSERT(one.fingerprint() == other.fingerprint());
    NTHTREE_ASSERT(record->position() == judged->position() && record->author == judged->author);
    NTHTREE_ASSERT(record->kind == judged->kind && record->replaces == judged->replaces);
    NTHTREE_ASSERT(record->clock_ms == judged->clock_ms);
    NTHTREE_ASSERT(record->bytes == bytes);
    ledger::Season season, again;
    NTHTREE_ASSERT(season.apply(*record));
    NTHTREE_ASSERT(!season.apply(*record));
    again.apply(*record);
    NTHTREE_ASSERT(season.fingerprint() == again.fingerprint());
    if (record->body.index() != 0) {
      const auto written = ledger::write_record(*record);
      NTHTREE_ASSERT(!written || written->id == record->id);
    }
  }
  if (!id) return 0;
  if (const auto moved = sync::rehome(bytes)) {
    const auto original = sync::original_of(moved->id, moved->bytes);
    NTHTREE_ASSERT(original && original->id == *id && original->bytes == bytes);
  }
  return 0;
}
