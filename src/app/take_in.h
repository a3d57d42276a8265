// SPDX-License-Identifier: Apache-2.0
//
// What comes in without a network: a file, or what the camera reads. It takes the same way as what
// a hub sends; another farm's records wait for a yes.
//
//   take_in.take(lines);   take_in.on_scan(bytes, true);   take_in.follow();
#pragma once

#include <string>
#include <string_view>

#include "app/context.h"
#include "app/sync_driver.h"

namespace nthtree::app {

class TakeIn {
 public:
  TakeIn(Context& context, SyncDriver& driver) : context_(context), driver_(driver) {}

  void take(std::string_view lines);
  void take_offered();
  void start_scan();
  void follow();  // ends the camera where its screen was left
  void on_file_too_large();
  void on_scan(std::string_view bytes, bool chain);
  void on_scan_progress(const ScanProgress& progress);
  void on_scan_stopped(std::string_view detail);

 private:
  void take_lines(std::string lines);

  Context& context_;
  SyncDriver& driver_;
  std::string offered_;     // another farm's records, until the person has said yes
  bool scanning_ = false;   // the platform's camera was started
};

}  // namespace nthtree::app
