package androidx.test.runner.lifecycle

import android.app.Activity

/** The stage of an activity. */
enum class Stage { PRE_ON_CREATE, CREATED, STARTED, RESUMED, PAUSED, STOPPED, RESTARTED, DESTROYED }

/** The stage of an application. */
enum class ApplicationStage { PRE_ON_CREATE, CREATED }

/** Is called when the stage of an activity changes. */
fun interface ActivityLifecycleCallback {
    fun onActivityLifecycleChanged(activity: Activity, stage: Stage)
}

/** Knows the stages of activities. */
interface ActivityLifecycleMonitor {
    fun addLifecycleCallback(callback: ActivityLifecycleCallback)
    fun removeLifecycleCallback(callback: ActivityLifecycleCallback)
    fun getLifecycleStageOf(activity: Activity): Stage
    fun getActivitiesInStage(stage: Stage): Collection<Activity>
}

/** Knows the stages of applications. */
interface ApplicationLifecycleMonitor

/** Holds the monitor of activities. */
object ActivityLifecycleMonitorRegistry {
    private var monitor: ActivityLifecycleMonitor? = null

    @JvmStatic
    fun registerInstance(monitor: ActivityLifecycleMonitor?) {
        this.monitor = monitor
    }

    @JvmStatic
    fun getInstance(): ActivityLifecycleMonitor =
        checkNotNull(monitor) { "no monitor is registered" }
}

/** Holds the monitor of applications. */
object ApplicationLifecycleMonitorRegistry {
    private var monitor: ApplicationLifecycleMonitor? = null

    @JvmStatic
    fun registerInstance(monitor: ApplicationLifecycleMonitor?) {
        this.monitor = monitor
    }

    @JvmStatic
    fun getInstance(): ApplicationLifecycleMonitor =
        checkNotNull(monitor) { "no monitor is registered" }
}
