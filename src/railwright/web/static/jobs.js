// Things in the making: begun, looked after, ended.
import { ask, end, get } from "./api.js";

const LOOK_EVERY = 400; // milliseconds

export const begin = (app, product, options = {}) => {
  const { sheet, model, course } = app.store.now;
  return ask("jobs", { product, sheet, model, course, name: app.store.info?.title ?? "", options });
};
export const list = async () => (await get("/api/jobs")).jobs;
export const stop = (job) => end(`/api/jobs/${job.id}`);
export const fileAddress = (job, file) => `/api/jobs/${job.id}/files/${encodeURIComponent(file.name)}`;

// Tells how a job fares until it rests.
export async function follow(job, tell) {
  let now = job;
  tell(now);
  while (["waiting", "working"].includes(now.state)) {
    await new Promise((done) => { setTimeout(done, LOOK_EVERY); });
    try {
      now = await get(`/api/jobs/${job.id}`);
    } catch {
      now = { ...now, state: "ended" };
    }
    tell(now);
  }
  return now;
}
