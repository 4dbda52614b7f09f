package org.holebook.app

import android.app.job.JobParameters
import android.app.job.JobService
import android.net.Network
import android.os.Build
import java.util.concurrent.ConcurrentHashMap
import org.holebook.app.shell.SyncTask
import org.holebook.core.NotebookException

/**
 * Syncs when Android finds a suitable network. It notifies nobody: every page shows how much is not
 * synced yet, and the sync page shows the last result.
 */
class SyncJobService : JobService() {
    override fun onStartJob(job: JobParameters): Boolean {
        val task = AppContainer.of(this).syncTask().also { running[job.jobId] = it }
        Thread({ run(job, task) }, "sync").start()
        return true
    }

    /** Android needs the network or the time. What was transferred stays; the rest comes later. */
    override fun onStopJob(job: JobParameters): Boolean {
        running.remove(job.jobId)?.stop()
        return job.jobId == SyncScheduler.AFTER_RECORDING // a periodic job returns by itself
    }

    private fun run(job: JobParameters, task: SyncTask) {
        val app = AppContainer.of(this)
        app.network.acquire(networkOf(job))
        val result = try {
            task.run()
        } catch (_: NotebookException) {
            SyncTask.Result.RETRY // the notebook failed; its pages say why
        } finally {
            app.network.release()
        }
        if (result == SyncTask.Result.NOT_PAIRED) app.syncScheduler.cancel()
        if (running.remove(job.jobId, task)) {
            val retry = result == SyncTask.Result.RETRY
            jobFinished(job, retry && job.jobId == SyncScheduler.AFTER_RECORDING)
        }
    }

    private fun networkOf(job: JobParameters): Network? =
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.P) job.network else null

    companion object {
        private val running = ConcurrentHashMap<Int, SyncTask>()

        /** Whether that job is running. */
        fun isRunning(job: Int): Boolean = running.containsKey(job)
    }
}
