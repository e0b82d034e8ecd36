/** First key of the advisory locks that whoever runs a job holds; the second is its job_id. */
export const JOB_LOCK = 0x4c47_0001;

/** First key of the advisory lock under which a site's samples are changed; the second is its site_id. */
export const SITE_LOCK = 0x4c47_0002;

/** First key of the advisory lock under which partitions of `sample` are made; the second is 0. */
export const PARTITION_LOCK = 0x4c47_0003;

/** First key of the advisory lock under which a log of some content is made; the second is a hash of logger and content. */
export const CONTENT_LOCK = 0x4c47_0004;

/** Channel on which a job that has been put in line is announced, with its site_id. */
export const JOB_CHANNEL = "legroom_job";
