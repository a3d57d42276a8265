// SPDX-License-Identifier: Apache-2.0
// Hears what the platform says and does nothing: beside the gallery there is no app.
#pragma once

#include "app/platform.h"

namespace nthtree::shell {

class NoApp : public app::PlatformEvents {
 public:
  void on_store_named(const std::vector<app::MetaChange>&,
                      const std::vector<app::MetaChange>&, std::int64_t) override {}
  void on_store_records(const std::vector<std::string_view>&) override {}
  bool on_store_batch(std::string_view) override { return false; }
  void on_store_loaded(int) override {}
  void on_store_load_failed(std::string_view) override {}
  void on_store_done(app::RequestId, app::StoreOutcome, std::string_view) override {}
  void on_store_status(const app::StoreStatus&) override {}
  void on_http_done(app::RequestId, int, std::string_view) override {}
  void on_language(std::string_view, bool) override {}
  void on_wake() override {}
  void on_back() override {}
  void on_visible(bool) override {}
  void on_online() override {}
  void on_update_ready(std::string_view) override {}
  void on_file(std::string_view, std::string_view) override {}
  void on_file_too_large(std::string_view) override {}
  void on_file_given(app::FileGiven) override {}
  void on_scan(std::string_view, bool) override {}
  void on_scan_progress(const app::ScanProgress&) override {}
  void on_scan_stopped(std::string_view) override {}
  void on_codes(app::RequestId, int, std::string_view) override {}
  void on_lock(app::RequestId, bool, std::string_view) override {}
  void on_code(int, int, std::string_view) override {}
};

}  // namespace nthtree::shell
